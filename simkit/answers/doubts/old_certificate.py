"""A year in; what to think of a heat loss that comes from an old certificate, out."""

from __future__ import annotations

from simkit.year.year import Year

CERTIFICATE_YEARS = 10  # Directive 2010/31/EU, article 11: a certificate is valid for no more than ten years


def old_certificate(year: Year) -> str | None:
    """Word that a certificate is out of date or of unknown age; None where it is neither, or where there is none."""
    loss = year.case.home.loss
    if loss.certificate_kwh_m2 is None:
        return None
    if loss.certificate_year is None:
        return f"The heat loss is from a certificate of unknown age: after {CERTIFICATE_YEARS} years it is out of date."
    if year.case.site.year - loss.certificate_year <= CERTIFICATE_YEARS:
        return None
    return (
        f"The heat loss is from a certificate of {loss.certificate_year}, over {CERTIFICATE_YEARS} years old: what "
        "was changed in the home since is not in it."
    )
