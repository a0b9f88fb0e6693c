"""Every complaint there is: its code, what is wrong, what to do.

Words in braces are facts that whoever complains must give.
"""

from __future__ import annotations

from collections.abc import Mapping

CATALOGUE: Mapping[str, tuple[str, str]] = {
    # The file as a whole
    "unreadable-file": (
        "'{path}' cannot be read, {reason}",
        "check the name and whether you may read it",
    ),
    "file-empty": ("the file is empty", "begin it with 'witnessmark: 1' and 'machine: SOME-NAME'"),
    "file-too-big": (
        "the file is longer than the {limit} bytes that are read",
        "split it into files that include one another, or check that it is the right file",
    ),
    "not-text": (
        "this is not a text file in UTF-8 ({found})",
        "save it as plain text with UTF-8 encoding",
    ),
    "not-yaml": (
        "this cannot be read as YAML ({problem})",
        "look at the indent, the colons and the quotes of this line and the one before",
    ),
    "second-document": (
        "a second document begins here",
        "keep one machine to a file and take the line of dashes out",
    ),
    "too-deep": (
        "values stand inside values more than {limit} deep",
        "check the brackets; no machine file needs so many levels",
    ),
    "too-many-values": (
        "the file stands for more than {limit} values",
        "take out what is repeated, and aliases (*name) that repeat it",
    ),
    "alias-loop": ("'*{alias}' stands inside what it stands for", "write the value out instead"),
    "unknown-alias": (
        "'*{alias}' stands for nothing",
        "mark the value it means with '&{alias}' further up, or write it out",
    ),
    "yaml-tag": ("the tag '{tag}' means nothing here", "take it out; every value is read as text"),
    "key-not-text": ("a list or mapping stands where a name should", "write a plain name"),
    "duplicate-key": (
        "'{key}' is written twice; it stands in line {line} already",
        "keep one of the two",
    ),
    "not-a-file-of-ours": (
        "the file holds {found}, not names with values",
        "begin it with '{key}: 1'",
    ),
    "missing-version": (
        "the file does not say which version of the format it is in",
        "begin it with '{key}: {version}'",
    ),
    "unknown-version": (
        "version '{version}' of the format is not known here",
        "this program reads version {current}; a newer file needs a newer program",
    ),
    "old-version": (
        "the file is in version {version} of the format, and was read as such",
        "run 'witnessmark upgrade FILE' to bring it to version {current}",
    ),
    # Includes
    "include-missing": (
        "the included file '{path}' is missing, {reason}",
        "check the path; it starts from the folder of the file that includes it",
    ),
    "include-loop": ("the files include one another in a loop: {chain}", "take one include out"),
    "include-not-relative": (
        "'{path}' is not a path from this file's own folder",
        "write it from the folder of this file, like 'shared/cooling.yaml'",
    ),
    "too-many-includes": (
        "more than {limit} files are included",
        "gather what belongs together in fewer files",
    ),
    "machine-included": (
        "this file is a machine of its own, and is included at {by}",
        "move what both machines share to a file without 'machine', and include that",
    ),
    # Keys and shapes
    "unknown-key": ("'{key}' is not a key known here", "{nearest}"),
    "comma-in-text": (
        "'{text}' stands alone after a comma between {{ and }}",
        "put the text with the comma in quotes",
    ),
    "missing-key": ("'{key}' is missing", "add it here"),
    "empty-value": ("'{key}' has no value", "write the value after the colon, or take the key out"),
    "wrong-shape": ("'{key}' wants {wanted}, but here is {found}", "see the format's page"),
    "bad-id": (
        "'{id}' cannot be a name",
        "use small letters, digits and hyphens, at most 60, like 'upper-cover'",
    ),
    "duplicate-id": ("'{id}' is given twice; the first is at {first}", "rename one of the two"),
    "odd-character": (
        "'{key}' has a character that cannot be printed ({found})",
        "take it out or write it in plain letters",
    ),
    "unknown-word": ("'{word}' is not a word for '{key}'", "{nearest}"),
    "not-true-or-false": ("'{key}' is '{text}'", "write true or false"),
    "not-a-whole-number": (
        "'{key}' is '{text}'",
        "write a whole number of at least {least}, without a unit",
    ),
    "below-zero": ("'{key}' is '{text}', which is too small", "write a number above zero"),
    "not-a-position": (
        "'{key}' is not a position of two lengths",
        "write it like [120 mm, -35 mm]",
    ),
    "unreadable-date": ("'{key}' is '{text}', which is no date", "write it like 2026-03-31"),
    "not-a-way": ("'{text}' under '{key}' does not name a way", "write it like 'OPENING/WAY'"),
    # Quantities
    "missing-quantity": ("'{key}' is missing", "add it with its unit"),
    "unreadable-quantity": ("{what} (under '{key}')", "{hint}"),
    "wrong-unit": ("{what} (under '{key}')", "{hint}"),
    # Names
    "unknown-id": ("there is no {kind} '{id}'", "{nearest}"),
    "wrong-kind": ("'{id}' is {found}, but {wanted} is wanted here", "name one, or rename"),
    "unknown-state": ("'{id}' is {kind} and cannot be '{word}'", "write {states}"),
    "rest-state": (
        "'{fact}' is how {kind} stands when nothing is open",
        "leave it out, or write {states}",
    ),
    "not-described": ("nothing says how '{fact}' is reached", "describe {where}"),
    "unreadable-act": ("{what}", "{hint}"),
    # What holds what
    "part-not-held": (
        "nothing holds '{part}'",
        (
            "list it under 'holds' of a joint, name what traps it under 'trapped_by', "
            "or say 'fixed: true' if it is the frame"
        ),
    ),
    "fixed-part-off": (
        "'{part}' is fixed, yet there is a way to take it off",
        "take out 'fixed' or 'off'",
    ),
    "never-free": (
        "no way leads to '{what}': {circle}",
        "one of them must come first; take out the need that is not true, or give another way",
    ),
    "waits-in-vain": (
        "'{what}' waits for '{missing}', and nothing says how that is reached",
        "describe '{state}' under '{object}'",
    ),
    "too-tangled": (
        "more than {limit} things follow from its joints, assemblies, shafts and bars",
        "no machine is so tangled; look for names that stand in far too many lists",
    ),
    "no-way": ("'{state}' has no way", "give 'strip' and 'refit', or at least one way"),
    "hose-left-on": (
        "'{part}' can come off while '{joint}' still joins '{hose}' to it",
        "put '{fact}' under 'needs' of every way that takes '{part}' off",
    ),
    # Joints and bolts
    "no-tightness": (
        "'{joint}' does not say how tight it ends",
        "give 'tightness' with a torque, or seated, clicked or hand-tight",
    ),
    "stages-end-elsewhere": (
        "the passes of '{joint}' end at {last}, but its tightness is {final}",
        "make the last pass the final one",
    ),
    "no-thread-hand": (
        "'{joint}' screws on and does not say which hand its thread has",
        "give 'hand: right' or 'hand: left'",
    ),
    "no-viewpoint": (
        "'{joint}' has a thread hand but nothing says seen from where",
        "give 'viewpoint' here or at the top of the file",
    ),
    "no-part-line": (
        "'{joint}' is used once only, and no new ones can be ordered",
        "give 'number' (and 'price') of the new ones",
    ),
    "duplicate-hole": ("hole {hole} of '{joint}' is given twice", "number each hole once"),
    "unknown-hole": ("'{key}' of '{joint}' names hole {hole}, which it does not have", "{nearest}"),
    "hole-twice": ("'{key}' of '{joint}' names hole {hole} twice", "name each hole once"),
    "hole-left-out": (
        "'{key}' of '{joint}' leaves out hole {holes}",
        "name every hole once, or write cross or spiral",
    ),
    "thread-clash": (
        "a {bolt} bolt does not go into a {hole} hole",
        "measure both and put the wrong one right",
    ),
    "bolt-too-short": (
        "a bolt of {length} does not reach through the {clamped} it clamps",
        "measure the bolt under its head, and what it clamps",
    ),
    "bolt-bottoms": (
        "a bolt of {length} through {clamped} bottoms in a hole {depth} deep, by {over}",
        "measure bolt and hole; a bolt that bottoms clamps nothing and may burst the casting",
    ),
    # Tightness
    "implausible-torque": (
        "the torque of '{joint}' is implausible: {why}",
        "look again at torque, size, class and surface; the maker's figure prevails",
    ),
    "short-engagement": (
        "a bolt of '{joint}', {thread}, has only {engaged} of thread in its hole, {wanted} wanted",
        "measure bolt, hole and what is clamped; soft metal wants more, or the thread strips",
    ),
    "oil-on-friction-face": (
        "'{joint}' clamps a face that carries drive by friction, and has {found} on it",
        "keep the face free of grease and let 'refit_text' say so; if the thread is oiled, only it",
    ),
    "anti-seize-meets-threadlocker": (
        "{found} meets threadlocker at '{joint}'",
        "use one or the other: threadlocker does not set on what is slippery",
    ),
    "blind-hole-not-cleaned": (
        "'{joint}' has a blind hole, and no step cleans and dries it",
        "let 'refit_text' of 'out' say clean and dry; what is left in it can burst the casting",
    ),
    "no-clamp": (
        "the least clamp of '{joint}' is {clamp}",
        "give the force below which the joint fails, or leave it out",
    ),
    "clamp-above-proof": (
        "'{joint}' wants {clamp} at least, but {bolt} has a proof load of {proof}",
        "check clamp, class and size; per fastener, not for the joint together",
    ),
    "size-table-not-listed": (
        "'{joint}' is not said to be a bracket or a cover, and its figure is from a size table",
        "give 'role: bracket' or 'role: cover' if it is one; otherwise find the maker's figure",
    ),
    "size-table-nobody": (
        "nobody is named who took the size-table figure of '{joint}'",
        "name the person: {{is: {figure}, source: size table, by: NAME}}",
    ),
    "size-table-refused": (
        "'{joint}' is a {role} joint, and its figure is from a size table, not the maker's",
        "find the maker's figure; a size table serves brackets and covers only",
    ),
    # Circuits
    "no-drain": ("'{circuit}' is drained, but nothing says how", "say under 'drain' where and how"),
    "never-drained": (
        "'{joint}' opens '{circuit}', and nothing says how that is drained",
        "describe 'drained' under '{circuit}', with 'drain' and 'fill'",
    ),
    "only-relieved": (
        "'{joint}' opens '{circuit}', which is only relieved, not drained",
        "describe 'drained' under '{circuit}', or give heights that put the joint above 'level'",
    ),
    "no-fill": (
        "'{circuit}' is drained, but nothing says how it is filled again",
        "say under 'fill' where and how, or 'refilled: false' for air",
    ),
    "no-top-up": (
        "'{joint}' opens '{circuit}', and nothing says how that is topped up afterwards",
        "say under 'fill' where and with what, or 'refilled: false' for air",
    ),
    "no-cap": (
        "'{joint}' opens '{circuit}', and nothing says how its open ends are capped",
        "say under 'cap' what is capped, plugged or covered at once, and with what",
    ),
    "no-check": (
        "'{circuit}' is opened on the way, and nothing says what is checked afterwards",
        "say under 'check' what is looked at when it is closed again: level, leaks, air",
    ),
    "stays-behind-too-much": (
        "{stays} stays behind of a circuit that holds {capacity}",
        "check both figures",
    ),
    "comes-out-too-much": (
        "{out} comes out below '{joint}', and {most} when all is drained",
        "check both, and the capacity; what comes out lower down is never less",
    ),
    "comes-out-order": (
        "{out} comes out below '{joint}', and {other} below '{higher}', which lies higher",
        "check litres and heights of both: the lower the joint, the more comes out",
    ),
    "comes-out-no-height": (
        "'{joint}' says what comes out below it, and not how high it lies",
        "give its height above the drain under 'heights'",
    ),
    # Bars
    "lock-without-bar": (
        "no bar mentions '{lock}'",
        "say under 'bars' what may never be done while it is in",
    ),
    "bar-does-nothing": (
        "'{bar}' puts nothing in order and asks for nothing",
        (
            "name under 'while' or 'unless' what it depends on, "
            "or say under 'evidence' or 'permit' what is asked for"
        ),
    ),
    # Rooms
    "saving-above-cost": (
        "room saves {saved} of the {side} of '{opening}', which takes only {cost}",
        "lower the saving or check the time",
    ),
    "room-for-itself": ("'{object}' cannot make room for itself", "name what else makes the room"),
    # Works
    "empty-work": ("'{work}' has nothing to do", "give it 'goals', 'steps' or 'calls'"),
    "work-circle": ("works call one another in a circle: {chain}", "take one call out"),
    "step-circle": ("steps of '{work}' follow in a circle: {chain}", "take one 'after' out"),
    "step-never": (
        "'{step}' can never be done: it needs what keeps '{fact}' open, and comes before that",
        "take one of the two out",
    ),
    # Timing
    "run-without-shafts": (
        "timing run '{run}' has no shafts",
        "name the shafts its pulleys turn, or take out 'timing: true'",
    ),
    "no-proof": (
        "'{shaft}' is part of timing run '{run}' and cannot be proved",
        "describe 'unproven' and say under 'proof' what proves it",
    ),
    "timing-not-proved": (
        "'{work}' disturbs timing run '{run}' with '{fact}', and '{shaft}' is not proved after it",
        "list '{fact}' under 'disturbed_by' of '{shaft}'",
    ),
    "turned-after-proof": (
        "'{step}' turns '{shaft}' of timing run '{run}' and may not come while '{fact}' is open",
        "a turn comes before the proof: take '{fact}' out of what the step must come before",
    ),
    "started-before-proof": (
        "'{step}' does '{act}', but needs what keeps '{shaft}' of timing run '{run}' unproven",
        "an engine runs after the proof: take out the need, or do the step without '{act}'",
    ),
    "mark-hidden": (
        (
            "the mark of '{shaft}' of timing run '{run}' cannot be read at the proof, "
            "which needs '{fact}' that takes the mark away"
        ),
        "let what carries the mark go back on before the proof",
    ),
    # Drives
    "too-many-pulleys": (
        "the runs have more than {limit} pulleys together, too many to lay their belts",
        "look for pulleys that are given again and again",
    ),
    "no-route": ("no belt can lie so on the pulleys of '{run}': {what}", "{do}"),
    "belt-does-not-fit": (
        "the belt of '{run}' is {belt} long, but the way round its pulleys is {route}",
        "measure positions and diameters again, and count the belt's teeth",
    ),
    "ratio-clash": (
        "'{shaft}' has the ratio {ratio}, but {driver} teeth driving {teeth} make {found}",
        "count the teeth of both, and put ratio or teeth right",
    ),
    "runs-backwards": (
        "the pulleys of '{run}' stand in an order that runs {found}, but it runs {wanted}",
        "write the pulleys in the order the belt meets them, and check faces and viewpoint",
    ),
    "turns-backwards": (
        "the belt turns '{pulley}' {found}, but '{shaft}' turns {wanted}",
        "check which face of the belt runs on it, and which way the shaft turns",
    ),
    "float-too-small": (
        "'{pulley}' floats {floating} either way, but its nearest tooth may be {needed} off",
        "measure the slots; shorter ones may leave the belt between two teeth",
    ),
    "setting-without-clamp": (
        "a torque is held on the tensioner of '{run}', and no joint is named that clamps it",
        "name the joint under 'clamp': the torque is a setting, and the joint has a tightness",
    ),
    "no-travel": ("the tensioner of '{run}' cannot travel so: {what}", "{do}"),
    "tension-acts": ("'{run}' cannot be tensioned as its acts say: {what}", "{do}"),
    # Figures
    "figure-without-source": (
        "nobody says where {figure} comes from",
        "give 'source' at the top of the file, or {{is: {figure}, source: ...}} here",
    ),
    "limits-clash": (
        "no reading is at least {least} and at most {most}",
        "check both limits and their units",
    ),
    # Workshop and state
    "triangle": (
        "from '{here}' to '{there}' takes {straight}, but by way of '{by}' only {round}",
        "no way round can be shorter than the straight one; lower the straight time",
    ),
    "too-many-positions": (
        "'moves' names {number} positions, more than the {limit} that are compared",
        "leave out those that take the usual 'position_change'",
    ),
    "wrench-range": (
        "wrench '{wrench}' does not read from a low figure to a higher one",
        "give 'from' and 'to' as they stand on the wrench",
    ),
    "no-length": (
        "'{tool}' is given a length of {length}",
        "measure it: a wrench from drive to middle of grip, an adapter from drive to bolt",
    ),
    "adapter-reaches-back": (
        "adapter '{adapter}' at {angle}° reaches back to the grip of wrench '{wrench}'",
        "measure both; with the adapter on, no setting of this wrench can serve",
    ),
    "no-wrench": (
        "no wrench of the list serves {torque} at '{joint}'{with_adapter}: {why}",
        "put one in the list or borrow one; a clicker outside its range or overdue tells nothing",
    ),
    "wrong-machine": (
        "this is where a job on '{found}' stands, not on '{wanted}'",
        "choose the state file of this machine",
    ),
    "not-open": ("a way to '{fact}' is named, but that is not open", "list it under 'open'"),
    # All together
    "more-complaints": (
        "there are more complaints; only {number} are shown",
        "put these right and check again",
    ),
}

WARNINGS = frozenset(
    {
        "old-version",
        "figure-without-source",
        "implausible-torque",
        "short-engagement",
        "oil-on-friction-face",
        "anti-seize-meets-threadlocker",
        "blind-hole-not-cleaned",
        "no-wrench",
    }
)
"""Codes that do not make a file unfit for use."""
