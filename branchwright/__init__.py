"""What a person sees: the command line and the sheets. Electricity is computed in `models`."""
