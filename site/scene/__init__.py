"""The demo photographs: renders of an invented gearbox whose every dimension is known.

No photograph of this investigation was taken of a real thing. The pictures in `site/pages/photographs` are computed
from the modules here, so that what is measured on them can be held against the truth:

    box.py        every dimension of the gearbox, the places of its parts, and the features worth marking (no bpy)
    cameras.py    the seven cameras, and where a point of the box falls in their pictures (numpy only)
    shapes.py     gears, rings, dogs, bolts, tubes and plates as lists of corners and faces (numpy only)
    materials.py  steel, bronze, cast and painted aluminium, oil and dust, as shader nodes
    inside.py     gears, sleeves, forks, rails, disc and casing as seen through the opening and by the bore camera
    outside.py    the closed box with its covers, pipes and valve block, and the place it stands in
    finishing.py  what lens and camera do to a computed picture: Brown's distortion, vignette, noise, JPEG
    truth.py      which features each picture has, where they fall, what hides them
    render.py     puts them together and writes the pictures and `truth.json`

The Blender module is heavy and needed only to make the pictures again; neither the project nor its tests use it.

    python3.11 -m venv bpy-venv && bpy-venv/bin/pip install bpy==5.0.1 pillow
    bpy-venv/bin/python site/scene/render.py                        all pictures and truth.json; about an hour
    bpy-venv/bin/python site/scene/render.py bore-camera-dogs       one picture
    bpy-venv/bin/python site/scene/render.py --truth                truth.json alone
    bpy-venv/bin/python site/scene/render.py --trial inspection-opening    small and coarse, into the build folder

Debian wants libxrender1 libxi6 libxxf86vm1 libxfixes3 libxkbcommon0 libgl1 libsm6 besides.

`truth.json`, all lengths in mm, angles in degrees:

    axes       how the coordinates lie: x from the front bearing shoulder to the rear, y from left to right across the
               truck, z up from the axis of the output shaft; angles about a shaft run from the left side upwards
    parts      a record for every part, its dimensions by name
    cameras    for each picture its size, focal length f [px], principal point, Brown's k1 and k2 (x and y over f, as
               OpenCV numbers them), place, and the camera's own axes (right, down, forward) in box coordinates;
               pixels count from the upper left corner of the picture, so that the first pixel's middle is (0.5, 0.5)
    pictures   for each picture the shifts of the sleeves in it, and its features: name, part, kind, what fixes the
               point on the part, the point in mm, its pixel, and whether it can be seen (in the frame, nothing before
               it); known lengths and counts are listed beside them

A feature's kind tells how its point follows from the part:

    tooth-tip    middle of a tooth's tip `tooth`, at the place `x` along the shaft
    round        the point at `angle` on the circle of the part's dimension `radius`, at `x`
    axis         the point of the part's axis at `x`
    across       the point at `angle` on a circle whose axis runs across the box (a cover, a cap): its left or right
                 face is `y`
    bolt         the middle of a bolt's head, number `bolt` of the part's circle
    edge         the point `z` high on the outer edge of a flange: `end` is front or rear, `side` a dimension
    corner       a corner of an opening or a rule: `corner` is (0 or 1 along x, 0 or 1 along z)
    tick         a rule's graduation `mark` [mm from its left end], at the edge that carries the graduations
"""
