"""Gases for `gas.py`. Made by `python -m tests.benchmarks.fit_gases`; do not edit.

Fitted to CoolProp 8.0.0. Mixtures are by mole, in percent.
"""

from handsfree.task.limits.gas import Gas, rows

GASES = {
    gas.name: gas
    for gas in (
        # Pressure within 0.002 % of the reference.
        Gas(
            name="nitrogen",
            coldest_c=-40,
            hottest_c=70,
            densest=12,
            coefficients=rows("""
                 0.409678002 -0.321498752 -0.147508994  0.014140284
                 0.138426957 -0.072718928  0.072814210 -0.001518392
                -0.031791431  0.163547576 -0.158905740  0.045622012
                 0.032845680 -0.041917441  0.034581979 -0.016636401
                -0.008566378  0.014275054 -0.001654621  0.000913209
            """),
        ),
        # Pressure within 0.026 % of the reference.
        Gas(
            name="carbon dioxide 30 nitrogen 70",
            coldest_c=-25,
            hottest_c=70,
            densest=13,
            coefficients=rows("""
                 0.474271907 -0.597955287 -0.115649172 -0.062543060
                 0.273208362 -0.525781814  0.598039329 -0.138195878
                -0.291755526  1.124365786 -1.344636976  0.490519482
                 0.246410353 -0.726347672  0.794496171 -0.288804822
                -0.064295235  0.183093390 -0.169263411  0.052288240
            """),
        ),
    )
}
