"""The benchmarks: how right the measurements are, how honest their U, what they refuse, how fast they are.

Commands, each with ``--help``::

    python -m tests.accuracy strut  --tier analytic --scenes 2000 --sets fair wide hard --out DIR
    python -m tests.accuracy strut  --tier rendered --scenes 100 --sets fair --variant cuda_ad_rgb --out DIR
    python -m tests.accuracy strut  --tier photos --photos DIR --out DIR
    python -m tests.accuracy faults --seeds 59 --out DIR
    python -m tests.accuracy edges  --out DIR
    python -m tests.accuracy speed  --out DIR
    python -m tests.accuracy tire   …
    python -m tests.accuracy tire_speed --photos DIR
    python -m tests.accuracy hose|surface --out FILE
    python -m tests.accuracy hose   --photos DIR --out FILE

All are resumable: ``rows.jsonl`` in the folder of ``--out`` holds a line for every case, and what has a
line is not done again (remove the file after the measurement has changed).  Any change of the measurement
is judged by these tables before and after, at the same seeds.

Question -> file: the strut's command `strut`; fair and wide scenes `draw`, hard ones `hard`; one case
measured `run`, many of them, resumable `jobs`, `progress`; photos with truth files `photos`; rendered
scenes, traced while others are measured `rendered`; figures `stats`, near the limits `decisions`; their
table `report` and pictures `plots`; accepted errors above 1 mm drawn `overlays`; seeded faults `faults`;
strips against Fisher's bound `edges`; time and memory `speed`, `tire_speed`; traced tires `tire_photos`, hoses `hose_photos`.

Photos with truth
-----------------
``--photos DIR`` reads every JPEG, PNG and HEIC below DIR that has a truth file beside it, named like the
photo with ``.truth.json`` in the place of the photo's ending (or behind it).  A truth file is an object:

``extension_mm`` (or ``truth_mm``), number or null, required
    What a perfect reader would read.  Null: nothing to read, a refusal is right.
``leg`` or ``leg_file``, text, one of them required
    The leg's data: LEG.toml as text, or a path to it.  A path is looked for beside the photo, in a folder
    ``legs`` beside it, and in both places of every folder above it up to DIR's parent.
``truth_u_mm``, number
    Standard uncertainty of the truth, 0 by default; a photo counts as covered when
    \\|error\\| ≤ √(U² + (1.96 truth_u_mm)²).
``stand_off_mm``, number or [number, standard uncertainty]
    The stand-off as it was told to the measurement; 1 mm of uncertainty by default.  Absent: not told.
``check_bars_mm``, [along, across or null]
    The card copy's bars as they were measured.  Absent: not measured.
``camera_file``, text
    Path of a CAMERA.json, looked for as the leg is.
``fair``, true or false
    Whether the photo is what a careful mechanic gives; the report keeps the two apart.  By default a photo
    whose ``expected`` says that it is to be refused is not fair, every other is.
``expected``, object
    ``{"status": "reading" or "refused", "cause": …}``: reported where it was not so.
``cell``, object of texts
    Further names to report by, e.g. ``{"light": "sun"}``.

Other keys are left alone; the truth files of ``demo_images`` and of ``python -m tests.scenes.physical``
are such files.
"""
