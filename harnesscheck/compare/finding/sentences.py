"""The sentences people read, one entry a kind: what it means, what to do, how to check with a meter.

``says`` is the finding's own sentence; its placeholders are filled by
``compare``. The README's chapter on findings is made of the other three.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from harnesscheck.compare.finding.cautions import GENERAL, USED_PARTS
from harnesscheck.compare.finding.kinds import KindName

SAFETY = (
    "Battery off before any plug is opened, negative clamp first; it goes on again last, by a named person.",
    GENERAL,
    "Never bridge an interlock (start inhibit, inertia cut-off, brake lamp, bonnet).",
    "Every feed is fused at its source; never fit a bigger fuse than the wire can carry.",
    "Local law, inspection rules and the maker's procedure stand above this list. It is an aid, not an approval.",
)


TOO_MANY_VOLTS = "{part} is made for {rated} and gets {volts} with {state}: that destroys it."
TOO_MANY_VOLTS_DO = (
    "Do not switch it on. Fit the part of the right volts, or feed it from where it finds {rated}; moving contacts "
    "does not help."
)
TOO_FEW_VOLTS = "{part} is made for {rated} and the car has {volts}: it stays dim, or dead."
TOO_FEW_VOLTS_DO = (
    "No fault of the wiring: {part} is made for {rated} and the car has {volts}. Fit the part of the right volts."
)
"""Beside a kind's own words: parts of one system's volts on another's."""
RUNS_BACK = "{part} runs the other way with {state}: what should open closes, what should go up goes down."
RUNS_BACK_DO = (
    "Exchange its two wires before power is on. Keep everybody clear when it is first tried: it moves with force."
)
EXCHANGED = "{part} and {other} are exchanged: {part_within} is on with {state}{drain}; {other} with {then}."
EXCHANGED_DO = "Find the plug at which the two wires cross and exchange them there."
EXCHANGED_LAMPS_DO = (
    EXCHANGED_DO + " Until then the car shows others on the road what the driver does not mean: which lamps it must "
    "have, and whether it may move without them, local law says."
)
"""Beside a kind's own words: loads that do the right thing at the wrong time, or the wrong way round."""
LOST_SHIELD = "wires of {what} in shield {shield} {where}: what runs beside may disturb the signal"
LOST_SHIELD_DO = (
    "Keep the harness that has the shield, or lay a shielded cable; join its drain wire at the one end where that car "
    "has it, to what it is joined to there."
)
"""Beside a kind's own words: a shield that only one car has."""
POSITIVE_EARTH = (
    "Battery + of {part} is on the body and battery - is the feed: a car of positive earth, or a battery that is "
    "turned round. Then everything that minds its direction is fed backwards."
)
POSITIVE_EARTH_DO = (
    "Look at the battery before it is connected. In a car of positive earth fit nothing made for the other pole; "
    "else exchange the two leads."
)
OTHER_EARTH = (
    "The body is battery {ours} here and battery {theirs} there ({part}): what minds its direction is fed "
    "backwards{what}; an alternator's diodes short the battery."
)
OTHER_EARTH_DO = (
    "Do not connect the battery. Find out which of the two cars has it the other way round; parts of a car of one "
    "earth do not go into one of the other."
)
POSTS_NOT_NAMED = "{part}: nobody wrote which of its terminals ({posts}) is +, so no current can be worked out."
POSTS_NOT_NAMED_DO = 'Look at the battery and write terminal="+" and terminal="-" in the file.'
"""Beside a kind's own words: what a battery's two posts tell."""


@dataclass(frozen=True, slots=True)
class Sentences:
    """What a kind says to a person. ``move`` is what to do where the cavity is known that a contact belongs in."""

    says: str
    means: str
    do: str
    check: str
    move: str = ""


SENTENCES: Mapping[KindName, Sentences] = {
    "feed-to-ground": Sentences(
        "{own} would face {now}: {fuse}.",
        "A contact with battery voltage meets one that is tied to the body: a short circuit the moment the plug "
        "goes in. A fuse blows at best; with none on the way the wire burns.",
        "Do not plug it in. Move the contact to where its circuit is, or cap it.",
        "Battery off, both halves apart: ohms from the shell's contact to bare body; under 1 Ω is a ground.",
        "Do not plug it in. Move the contact to {to}, where its circuit is, or cap it.",
    ),
    "restraint-altered": Sentences(
        "{hazard} part {part} differs: {list}.",
        "Airbags, belt tensioners and high-voltage parts are only known to work as one complete set of one car.",
        "Take the complete set of one car, looms and parts. " + USED_PARTS,
        "Nothing to measure: restraint and high-voltage wiring is never probed from our lists.",
    ),
    "unfused-feed": Sentences(
        "{text}.",
        "A wire that no fuse protects carries the battery's full current into any short, until it burns.",
        "Fit a fuse at the source, no bigger than the thinnest wire behind it allows.",
        "Pull every fuse; with the battery on through a 21 W lamp in series, the wire must read 0 V.",
    ),
    "feed-on-signal": Sentences(
        "{own} would face {now}.",
        "Battery voltage arrives at a contact made for a signal, a data line or a low-side driver: the module "
        "behind it is likely to be burnt.",
        "Do not plug the module in. Move the contact to where its circuit is.",
        "Module unplugged, key through all positions: volts from the contact to body; a signal contact reads 0 V.",
        "Do not plug the module in. Move the contact to {to}, where its circuit is.",
    ),
    "outputs-joined": Sentences(
        "{own} would be joined with {now}.",
        "Two drivers work against each other; whichever is weaker burns.",
        "Keep the two circuits apart: move one contact, or insulate it.",
        "Modules unplugged: no continuity between the two contacts.",
    ),
    "feeds-joined": Sentences(
        "{own} would be joined with {now}.",
        "Two separately fused supplies become one: pulling one fuse no longer makes the wire dead, the fuses add "
        "up, and what the key should switch off may stay on.",
        "Part them: one feed only, the other contact insulated and tied back.",
        "Pull one of the fuses: the contact must go dead.",
    ),
    "signal-grounded": Sentences(
        "{own} would face {now}.",
        "A signal, data or reference line is tied to the body: its value is lost; a driven output may be burnt.",
        "Move the contact to where its circuit is.",
        "Both halves apart: ohms from the shell's contact to bare body; a signal must not read under 1 Ω.",
        "Move the contact to {to}, where its circuit is.",
    ),
    "wrong-feed": Sentences(
        "Fed by {was_within} here, by {now} there.",
        "The part gets its current in other key positions: it forgets its settings, drains the battery, or is "
        "dead when it is needed.",
        "Move the contact to the feed with the same key positions.",
        "Volts from the contact to body with the key off, at accessory, at run, while cranking.",
        "Move the contact to {to}, where its circuit is.",
    ),
    "crossed": Sentences(
        "{was} here, {now} there.",
        "Both cars use this contact, for different things: neither circuit works, and what does happen is chance.",
        "Move the contact to the cavity where the shell has its circuit.",
        "Ring out both circuits from end to end before the plug goes in.",
        "Move the contact to {to}, where its circuit is.",
    ),
    "missing-circuit": Sentences(
        "{was} here, {now} there: {part} gets nothing.",
        "A part needs a wire that the other harness has nowhere: it stays dead.",
        "Lay the wire from its source, fused, or keep the harness that has it, or leave the part out.",
        "Continuity from the part's contact to where the circuit should come from: open.",
    ),
    "ground-lost": Sentences(
        "{was} here, {now} there: {part} has no ground.",
        "A part's return ends in an empty cavity: it is dead, or finds its way to ground through other parts.",
        "Run a ground of the same size to the same metal, bare and tight.",
        "Ohms from the part's ground contact to the battery's negative: should be under 0.5 Ω.",
    ),
    "reversed": Sentences(
        "{part} would be fed the wrong way round: {was_within} here, {now} there.",
        "Its supply and its ground are exchanged: a motor turns backwards, a diode across a coil is a short, "
        "electronics burn.",
        "Exchange the two contacts before it is plugged in.",
        "Part unplugged, key on: the supply contact reads battery volts to body, the ground contact none.",
    ),
    "dead-accessory": Sentences(
        "{part} stays off with {state}, where it works here: {why}{before}.",
        "A part that works in the donor gets no current in the other car in the state named: its feed, its ground or "
        "its relay is missing somewhere on the way.",
        "Follow the path named and restore what is missing, or leave the part out.",
        "In the state named: volts from the part's supply to body, then from its ground contact to body.",
    ),
    "dim-accessory": Sentences(
        "{part} gets only {volts} with {state}, where it has {had} here{before}.",
        "A part gets too little: another part is in series with it, or a wire on its way is too thin or too long.",
        "Look for what it shares its feed or its ground with; give it its own.",
        "In the state named: volts across the part itself, then along its feed and its ground, piece by piece.",
    ),
    "relay-hunts": Sentences(
        "{part} does not come to rest with {state}: it pulls in and lets go again and again.",
        "A relay takes its own coil's feed or ground away when it pulls in: it buzzes, and its contacts burn.",
        "Feed the coil from before the contact that it works.",
        "In the state named: listen to the relay; volts across its coil flicker.",
    ),
    "wrong-key-position": Sentences(
        "{part} works in other key positions: {had} here, {now} there{lost}{before}.",
        "A part is on when it should be off or dead when it is needed, because its feed or its ground follows another "
        "contact of the key.",
        "Move its feed to one with the same key positions.",
        "Volts across the part with the key off, at accessory, at run, while cranking, with the engine running.",
    ),
    "always-on": Sentences(
        "{part} is on with {state}, where it is off here: {volts} by {path}{drain}{lost}{before}.",
        "Nothing switches the part off any more. Where it is on with the key off, it empties the battery.",
        "Find where its switch or its relay is bypassed; until then pull the fuse named on the path.",
        "Key off, nothing touched: amperes in the battery's negative lead, then pull fuse after fuse.",
    ),
    "sneak-path": Sentences(
        "{part} gets {volts} with {state}, where it is off here: the current comes by {path}{lost}{before}.",
        "Current takes a way nobody meant: through another part, backwards through a shared feed, or to a shared "
        "ground that has lost its own. What it lights glows, and what it passes is dim.",
        "Break the way at the element that is new on the path: mostly a lost ground or two feeds joined.",
        "In the state named: pull the fuse named on the path; the part must go dark.",
    ),
    "strap-missing": Sentences(
        "{text}.",
        "The return current of that metal part goes through bearings, cables or a thin ground wire instead, and "
        "heats them.",
        "Fit the strap, bare metal on both ends.",
        "Volts between the two metal parts with their loads on: under 0.1 V.",
    ),
    "bus-altered": Sentences(
        "{text}.",
        "A data bus needs its two end resistors and every module on it; without, modules drop out.",
        "Restore the terminator or the missing leg where the donor has it.",
        "Battery off: ohms across the pair; about 60 Ω with both ends there (common practice, no source).",
    ),
    "coded-part": Sentences(
        "{text}.",
        "Parts of one coded set know each other; split between two cars, the engine does not start.",
        "Take every part of the set from one car, or have them coded by somebody entitled to.",
        "Nothing to measure; ask the maker's diagnosis for the set's state.",
    ),
    "wire-overloaded": Sentences(
        "{text}.",
        "More current flows through the wire, for longer, than its copper and its insulation stand: it gets hot, "
        "hardens, and in the end shorts.",
        "Lay a thicker wire all the way, or feed part of it from elsewhere; a smaller fuse only blows.",
        "Clamp meter around the wire with everything on; the wire must stay no more than hand-warm.",
    ),
    "fuse-too-big": Sentences(
        "{text}.",
        "The fuse lets more current through than the wire behind it stands: in a fault the wire burns first.",
        "Fit the rating the thinnest wire behind it allows; where that is too small for the load, lay a thicker wire.",
        "Read the number on the fuse, and the size of the thinnest wire it feeds.",
    ),
    "fuse-too-slow": Sentences(
        "{text}.",
        "A short circuit at the far end of a long thin wire passes too little current to blow the fuse before the "
        "wire's insulation is lost.",
        "Fit a smaller fuse, or a thicker or shorter wire.",
        "Loop resistance from the battery to the wire's far end and back, in a four-wire measurement or by its drop "
        "at a known load: 12 V divided by it is the short-circuit current.",
    ),
    "fuse-too-small": Sentences(
        "{text}.",
        "A fuse that carries more than four fifths of its rating for hours ages, and blows on a hot day.",
        "Fit the next rating if the thinnest wire behind it allows, or share the load out.",
        "Millivolts across the fuse with everything on, or a clamp meter behind it.",
    ),
    "volt-drop": Sentences(
        "{text}.",
        "The volts are lost on the way: lamps are dim, motors slow and hot.",
        "Clean the contact, or lay a thicker wire where most of it is lost; a relay near the load saves the switch.",
        "Load on: volts from the source to the load's contact, and from its ground contact to the battery's negative.",
    ),
    "thinner-wire": Sentences(
        "{text}.",
        "The wire has more resistance: more drop at the load, and less margin for its fuse.",
        "Check load and fuse against the thinner wire; lay the thicker one where they do not suit.",
        "Volts lost between source and load with the load on.",
    ),
    "signal-mismatch": Sentences(
        "{text}.",
        "Sender and receiver speak differently: the gauge lies or the module sets a fault.",
        "Keep sender and receiver from one car.",
        "Compare the sender's ohms at both ends of its travel with the gauge's scale.",
    ),
    "no-mate": Sentences(
        "{text}.",
        "The plug has no partner in the other car that it would go into.",
        "Bring the other half with a tail of its wires (150 mm and more), or leave the part out.",
        "Look for a plug of the same size within reach; name it by its colours before calling it missing.",
    ),
    "housing-differs": Sentences(
        "Same job, other housing: {text}.",
        "The plugs do the same job but do not go into each other.",
        "Move the contacts into the matching housing, or make an adapter lead.",
        "Hold the two faces side by side: count cavities, compare the keyway.",
    ),
    "moved-pin": Sentences(
        "{was}: {from} here, {to} there.",
        "The circuit is there, in another cavity.",
        "Re-pin: move the contact.",
        "Continuity from the new cavity to the circuit's far end.",
    ),
    "orphaned": Sentences(
        "{was} here, {now} there: one end is left over{live}.",
        "One end of a wire or circuit has nothing to go to. If it is live, it waits for something to touch.",
        "Insulate the end and tie it back; a live one first, or pull its fuse.",
        "Key off, then on: volts from the loose contact to body.",
    ),
    "mixed-bus": Sentences(
        "{text}.",
        "Modules of two cars would talk on one data line. Whether they understand each other is not in the wiring.",
        "Ask somebody with the maker's diagnosis, or keep the bus's modules from one car.",
        "Nothing to measure with a meter.",
    ),
    "spare": Sentences(
        "{was} here, {now} there: no part at any end.",
        "A wire that serves nothing.",
        "Insulate and tie it back, or strip it.",
        "Both ends apart: no volts in any key position.",
    ),
    "extra-circuit": Sentences(
        "{now} there, nothing here.",
        "The shell has a circuit that the donor never had.",
        "Keep it with the shell's harness, or expect its parts to be dead with the donor's.",
        "Nothing to do before power.",
    ),
    "recoloured": Sentences(
        "Same circuit, other colour: {text}.",
        "The wire changed its colour between the years. Nothing is wrong.",
        "Label it.",
        "Nothing to measure.",
    ),
    "not-documented": Sentences(
        "{was} here; {now} there{burns}.",
        "Nothing is known about what this contact would face. A feed or a ground among them may burn.",
        "Ring it out before power is on.",
        "Ohms to body, then volts to body in every key position, with the plug apart.",
    ),
    "doubtful-mates-disagree": Sentences(
        "{text}.",
        "The file plugs together two halves that do not fit each other.",
        "Look at both halves in the car and mend the file.",
        "Hold the two faces side by side.",
    ),
    "doubtful-class-contradicted": Sentences(
        "{text}.",
        "What the file calls the circuit is not what its wires make of it.",
        "Follow the wire to its source; mend the class or the wire in the file.",
        "Volts to body in every key position.",
    ),
    "doubtful-terminal-without-wire": Sentences(
        "{text}.",
        "A part has a terminal that no wire reaches.",
        "Look into the plug: fill in the wire, or write that the cavity is not known.",
        "Look for a contact in the cavity.",
    ),
    "doubtful-circuit-in-pieces": Sentences(
        "{text}.",
        "One circuit's wires do not hang together in the file.",
        "Find the missing joint, or give the pieces names of their own.",
        "Continuity between the pieces.",
    ),
    "doubtful-wire-without-use": Sentences(
        "{text}.",
        "A wire leads from nowhere to nowhere.",
        "Fill in its ends, or note that it is spare.",
        "Follow it by hand.",
    ),
    "doubtful-unfused-feed": Sentences(
        "{text}.",
        "In the file a feed reaches this part with no fuse on its way.",
        "Look for the fuse in the car: add it to the file, or fit one.",
        "Pull every fuse: the contact must be dead.",
    ),
}
