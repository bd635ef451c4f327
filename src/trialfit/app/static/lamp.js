// Runs before anything is drawn, so that a page never flashes in the other light.
(() => {
  try {
    const lamp = localStorage.getItem("trialfit.lamp");
    if (lamp) document.documentElement.dataset.lamp = lamp;
  } catch { /* a browser that keeps nothing follows its own setting */ }
})();
