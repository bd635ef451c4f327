"""Whether a folder lies on a network share, where SQLite's locks cannot be relied on."""

from __future__ import annotations

from pathlib import Path

_SHARES = frozenset(
    {
        "9p", "afs", "beegfs", "ceph", "cifs", "coda", "davfs", "drvfs", "gfs2", "glusterfs", "lustre", "ncpfs", "nfs",
        "nfs4", "ocfs2", "prl_fs", "smb2", "smb3", "smbfs", "vboxsf", "virtiofs", "vmhgfs",
        "fuse.ceph", "fuse.davfs2", "fuse.glusterfs", "fuse.gvfsd-fuse", "fuse.rclone", "fuse.s3fs", "fuse.smbnetfs",
        "fuse.sshfs", "fuse.vmhgfs-fuse",
    }
)  # fmt: skip
_TABLE = Path("/proc/self/mounts")


def share_under(folder: Path, mounts: str | None = None) -> str:
    """Say on what kind of network share a folder lies.

    Parameters
    ----------
    folder
        The folder; it need not be there yet.
    mounts
        The system's table of mounts, as /proc/self/mounts writes it; None reads it.

    Returns
    -------
    str
        The kind, such as ``nfs4``; empty where the disk is this machine's own, or nobody can tell.
    """
    if mounts is None:
        try:
            mounts = _TABLE.read_text(encoding="utf-8", errors="replace")
        except OSError:
            return ""
    here = folder.resolve()
    longest, kind = -1, ""
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        root = Path(_plain(fields[1]))
        # Of two mounts at one place the later lies on top.
        if here.is_relative_to(root) and len(root.parts) >= longest:
            longest, kind = len(root.parts), fields[2]
    return kind if kind in _SHARES else ""


def _plain(written: str) -> str:
    """The table writes blanks and the like as backslash and three octal digits."""
    for sign, code in ((" ", "040"), ("\t", "011"), ("\n", "012"), ("\\", "134")):
        written = written.replace(f"\\{code}", sign)
    return written
