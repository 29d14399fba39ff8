"""CoolProp (version 8 when written), loaded when it is asked first: that takes nearly two seconds.

Every process of a run reads every test file; only one that needs the library is to pay for it.
"""

from __future__ import annotations


def coolprop():
    """The library itself."""
    from CoolProp import CoolProp

    return CoolProp


def properties(*asked):
    """`PropsSI`: one property in SI units, named by its letter, of a fluid in a given state."""
    return coolprop().PropsSI(*asked)
