"""Everything that is printed true to size, and the cards for the bench.

Decisions:

- A frame file (TOML) is the one input of all bench paper; every refusal names file, table, key
  and cure.
- Line 0° is the underside (head tube, seat tube and seatstay: the rear) and line 90° the drive side
  of every tube, on templates, cut list, tack card and drawing alike; `pieces` has the rule.
- A tube that goes to the head tube is cut at its other end as far as the window allows, so that the
  head tube gets the longer butt (common practice, no source).
- Without a table [rear], only what `Frame.joints` knows is mitered, and stays end square,
  `short_of_axle` from the axle. With it, stays, bridges and dropouts are those of
  `buildable.RearTriangle`; straight stays stand in for them in statics alone (`Build.main` has
  none). A file without the tables of rear end and fork gives the same paper as before they came.
- ezdxf writes with its fixed meta data, so that bytes repeat. A dimension is a true DIMENSION, a
  wheel a true ARC, an outline a closed LWPOLYLINE with a point for every degree of the saddle.
  typst asks for PDF/UA-1, which refuses a page without title, language or alt text; a name with
  letters that no font on the machine has is set again without the claim.
- Large print scales the page's own text, never what is true to size. Nothing at 1:1 goes through
  matplotlib.
"""
