"""A schedule to try on every tariff in; what each then costs out."""
