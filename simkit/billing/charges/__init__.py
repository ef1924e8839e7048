"""Terms of a tariff and a time axis in; what a bill and a controller need of them, without any load, out."""
