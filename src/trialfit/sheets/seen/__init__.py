"""What stands on the engine as a person sees it: meshes, pictures of steps, drawings over photographs, models."""
