"""Bench calculators: a frozen input, a frozen result, one function between. PURE.

Every quantity is SI. A result that means something says so by reasons (codes for
``diagnostics.words``). ``registry`` lists them as data. Formulas and judgements:
domain brief, section 7.
"""
