"""Energy and a tariff in; prices, bills and their checks out."""
