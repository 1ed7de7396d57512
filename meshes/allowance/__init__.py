"""What paper's thickness takes where sheets lie round or in each other, for what is cut.

The motion, the checks and the meshes keep the sheets as designed; only patterns and guides ask for
the sheets as they are to be cut.

.. code-block:: text

    layers   which facets lie off their plane, because they are glued or lie on others
    shifts   how far folds and edges move for that
    reshape  the sheet with its folds and edges moved, cut anew
    shut     what lies in folds that shut over it, and how far from them it must end
    trim     the sheet without the strips beside such folds
    holes    loops round what slides, slits for what passes them
"""

from .allow import Allowed, Change, allowed

__all__ = ["Allowed", "Change", "allowed"]
