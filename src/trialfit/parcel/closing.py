"""What has to be so before a job may be closed."""

from __future__ import annotations

from trialfit.errors import Refusal
from trialfit.parcel.records import ParcelAccount


def need_accounted(job: str, account: ParcelAccount | None) -> None:
    """Refuse to close a job whose parcel is not accounted for.

    Parameters
    ----------
    job
        The job's name.
    account
        The account of its parcel, or None where it has none.

    Raises
    ------
    Refusal
        A piece is missing, or is accounted for twice.
    """
    if account is not None and not account.closes:
        raise Refusal(
            f"job {job}", "a parcel that is not accounted for", "every piece accounted for, once",
            "Look at the findings of the parcel out, or at the packing list, and say what becomes of each piece.",
        )  # fmt: skip
