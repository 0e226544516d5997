"""How a place sounds: levels, noises, rooms and headsets, to rehearse in.

Sound is mono float32 of shape (n,) at 16 kHz, full scale at 1.0, as `hearing` takes it. Whatever
is drawn comes from a seed: equal arguments give equal samples.
"""
