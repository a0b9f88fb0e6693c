"""What may be done to each kind of object: transitions, evidence asked, gates passed first."""

from __future__ import annotations

from witnessmark.procedure.rules.shapes import Action, Evidence, Half

_STRIP, _REFIT, _ACT = Half.STRIP, Half.REFIT, Half.ACT

EVIDENCE: tuple[Evidence, ...] = (
    Evidence("where it lies", "Where does it lie now?"),
    Evidence("way round", "Which way round did it sit?"),
    Evidence("length and place", "Which length came out of which hole?"),
    Evidence("tied to", "What is it tied to?"),
    Evidence("stage", "Which stage of the tightening is done?", owed=True),
    Evidence("wrench", "Which wrench?", owed=True),
    Evidence("photo of the marks", "Photograph the paint marks", owed=True),
    Evidence("new fasteners", "Which new fasteners went in?", owed=True),
    Evidence("litres out", "How much came out?"),
    Evidence("litres in", "How much went in?", owed=True),
    Evidence("capped", "What closes the open ends?"),
    Evidence("held back by", "What holds it back?"),
    Evidence("level", "Where does the level stand, and how warm is it?", owed=True),
    Evidence("gauge at nothing", "What does the gauge show?"),
    Evidence("mark", "Which mark, seen from where?"),
    Evidence("turns", "How many turns, which way?", owed=True),
    Evidence("marks meet", "Do all the marks meet?", owed=True),
    Evidence("locks out", "Which locks are out, counted?", owed=True),
    Evidence("hole", "Which hole is it in?"),
    Evidence("place", "Which place does it occupy?"),
    Evidence("who may", "Who has the permit?", owed=True),
    Evidence("proof of safe", "How was it proved?", owed=True),
    Evidence("setting", "Set to what, by which gauge, how warm, pointer where?", owed=True),
    Evidence("setting as found", "How was it set before?"),
    Evidence("why not known", "What happened?"),
)

_PART = (
    Action("move-aside", "part", ("fitted",), "moved", _STRIP, "move {} aside", ("tied to",)),
    Action("put-back", "part", ("moved",), "fitted", _REFIT, "put {} back"),
    Action(
        "take-off", "part", ("fitted", "moved"), "off", _STRIP, "take off {}",
        ("where it lies", "way round"),
    ),
    Action(
        "refit", "part", ("off",), "fitted", _REFIT, "refit {}", ("way round",), gates=("covering",)
    ),
    Action("refit-loosely", "part", ("off",), "moved", _REFIT, "bring {} back, still aside"),
)  # fmt: skip

_ASSEMBLY = tuple(
    Action(
        f"assembly-{each.id}", "assembly", each.sources, each.target, each.half,
        f"{each.says}, whole", each.evidence, gates=each.gates,
    )
    for each in _PART
)  # fmt: skip

_TIGHT = ("stage", "wrench", "photo of the marks")
_LOOSE = ("slack", "cracked", "backed off", "finger-tight", "nipped", "part-tightened")

_JOINT = (
    Action("crack-off", "joint", ("made",), "cracked", _STRIP, "crack off {}"),
    Action("slacken", "joint", ("made", "cracked"), "slack", _STRIP, "slacken {}", (),
           ("setting as found",)),
    Action("back-off", "joint", ("made", "cracked", "slack"), "backed off", _STRIP, "back off {}"),
    Action(
        "undo", "joint", ("made",), "out", _STRIP, "undo {}",
        ("length and place",), through=("slacken", "take-out"),
    ),
    Action(
        "take-out", "joint", (*_LOOSE, "unknown"), "out", _STRIP, "take out {}",
        ("length and place",),
    ),
    Action("put-in-loose", "joint", ("out",), "finger-tight", _REFIT, "put {} in finger-tight",
           renewal_evidence=("new fasteners",)),
    Action("enter", "joint", ("out",), "slack", _REFIT, "put {} in, left slack",
           renewal_evidence=("new fasteners",)),
    Action("nip-up", "joint", ("finger-tight", "slack"), "nipped", _REFIT, "nip up {}"),
    Action(
        "tighten-a-stage", "joint", ("finger-tight", "nipped", "slack", "part-tightened"),
        "part-tightened", _REFIT, "tighten {} by a stage", ("stage",), ("wrench",),
    ),
    Action(
        "tighten", "joint",
        ("finger-tight", "nipped", "slack", "cracked", "backed off", "part-tightened"),
        "made", _REFIT, "tighten {}", (), _TIGHT, setting_evidence=("setting",),
    ),
    Action(
        "make", "joint", ("out",), "made", _REFIT, "refit and tighten {}", (), _TIGHT,
        ("new fasteners",), ("setting",),
        through=("put-in-loose", "nip-up", "tighten"),
    ),
    Action("lose-count", "joint", ("made", *_LOOSE), "unknown", _ACT, "mark {} not known",
           ("why not known",)),
    Action("begin-again", "joint", ("part-tightened", "unknown"), "slack", _STRIP,
           "slacken {} in order and begin again"),
    Action("pull-again", "joint", ("made",), "made", _ACT, "pull {} again: not below",
           ("wrench",)),
    Action("put-in-to-turn", "joint", ("out", "slack"), "in to turn", _ACT, "put {} in to turn"),
    Action("take-out-after-turning", "joint", ("in to turn",), "out", _ACT, "take {} out again"),
    Action("back-off-after-turning", "joint", ("in to turn",), "slack", _ACT, "slacken {} again"),
)  # fmt: skip

_CIRCUIT = (
    Action("relieve", "circuit", ("ready",), "relieved", _STRIP, "relieve {}",
           ("gauge at nothing",), gates=("opening-pressure",)),
    Action("hold-back", "circuit", ("ready", "relieved"), "held back", _STRIP, "hold back {}",
           ("held back by",)),
    Action("let-go", "circuit", ("held back",), "ready", _REFIT, "let go {}"),
    Action("drain", "circuit", ("ready", "relieved", "held back", "filled"), "drained", _STRIP,
           "drain {}", ("litres out", "capped"), gates=("opening-pressure",)),
    Action("find-dirty", "circuit", ("drained", "filled"), "dirty", _ACT, "mark {} dirty"),
    Action("flush", "circuit", ("dirty",), "drained", _REFIT, "flush {} clean"),
    Action("fill", "circuit", ("drained",), "filled", _REFIT, "fill {}", ("litres in",)),
    Action("bleed", "circuit", ("filled",), "ready", _REFIT, "bleed, prime and check {}",
           ("level",)),
    Action("fill-and-bleed", "circuit", ("drained",), "ready", _REFIT, "fill, bleed and check {}",
           ("litres in", "level"), through=("fill", "bleed")),
    Action("fill-only", "circuit", ("drained",), "relieved", _REFIT, "fill {}", ("litres in",)),
    Action("close-up", "circuit", ("relieved",), "ready", _REFIT, "close and check {}", ("level",)),
    Action("pressurise", "circuit", ("ready", "filled"), "ready", _ACT, "put {} under pressure",
           gates=("opening-pressure",)),
)  # fmt: skip

_SHAFT = (
    Action("set-to-marks", "shaft", ("proven",), "unproven", _STRIP, "set {} to its mark",
           ("mark",), gates=("turning-by-hand",)),
    Action("let-free", "shaft", ("unproven",), "free", _STRIP, "free {} of its belt"),
    Action("set-and-free", "shaft", ("proven",), "free", _STRIP,
           "set {} to its mark and free it of its belt", ("mark",), gates=("turning-by-hand",),
           through=("set-to-marks", "let-free")),
    Action("belt-and-prove", "shaft", ("free",), "proven", _REFIT, "give {} its belt and prove it",
           ("turns", "marks meet", "locks out"), gates=("turning-by-hand",),
           through=("take-belt", "prove")),
    Action("lock-free-shaft", "shaft", ("free",), "held", _ACT, "hold {}", ("hole",)),
    Action("unlock-free-shaft", "shaft", ("held",), "free", _ACT, "let go {}"),
    Action("take-belt", "shaft", ("free", "held"), "unproven", _REFIT, "give {} its belt"),
    Action("prove", "shaft", ("unproven",), "proven", _REFIT, "prove {}",
           ("turns", "marks meet", "locks out"), gates=("turning-by-hand",)),
    Action("turn", "shaft", ("proven", "unproven"), "unproven", _ACT, "turn {}", ("turns",),
           gates=("turning-by-hand",)),
    Action("disturb", "shaft", ("proven", "unproven"), "unproven", _ACT, "disturb {}"),
)  # fmt: skip

_TEMPORARY_THINGS = (
    Action("put-in", "lock", ("out",), "in", _STRIP, "put {} in", ("hole",)),
    Action("pull-out", "lock", ("in",), "out", _REFIT, "pull {} out", ("locks out",)),
    Action("fit", "temporary", ("away",), "fitted", _STRIP, "fit {}", ("place",)),
    Action("take-away", "temporary", ("fitted",), "away", _REFIT, "take {} away"),
    Action("make-safe", "make-safe", ("normal",), "safe", _STRIP, "make {} safe",
           ("proof of safe",), ("who may",)),
    Action("undo-safe", "make-safe", ("safe",), "normal", _REFIT, "bring {} back to normal", (),
           ("who may",)),
    Action("lapse", "make-safe", ("safe",), "normal", _ACT, "let {} lapse"),
)  # fmt: skip

_MACHINE = (
    Action("crank", "machine", (), "", _ACT, "crank", gates=("cranking",)),
    Action("start", "machine", (), "", _ACT, "start", gates=("cranking", "first-start")),
    Action("lower", "machine", (), "", _ACT, "lower", gates=("lowering",)),
)

ACTIONS: tuple[Action, ...] = (
    *_PART,
    *_ASSEMBLY,
    *_JOINT,
    *_CIRCUIT,
    *_SHAFT,
    *_TEMPORARY_THINGS,
    *_MACHINE,
)
