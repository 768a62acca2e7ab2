"""Crews as data: what each typed, in turns, and the log that comes of it. `@12` waits until minute 12, `@event` until it has happened."""
from __future__ import annotations

from pathlib import Path

from guide.drills.logs import LogFile
from guide.drills.opening import Ground
from guide.drills.playing import Drill
from guide.drills.records import Entry, Log

GOOD = {
    "calm_coastal": """
        Asha: we sent the mayday on channel 16
        Ingrid: the raft is over the side and inflated, still tied to the boat
        Asha: everyone is in the raft now
        Asha: counted, all four accounted for
        Tom: the epirb is on
        @sinking
        Asha: painter is cut
        Bela: the drogue is out
        Asha: Asha is in charge
        Ingrid: lookout is posted
        Tom: everyone took a seasick tablet
        Ingrid: we read the card
        @gash
        Ingrid: pressed hard on it, bandaged, the bleeding has stopped
        Bela: bailed her out and sponged her dry
        Asha: the equipment is found and listed
        @ship
        Ingrid: fired one parachute rocket
        Tom: everything is tied in""",
    "fire_at_dusk": """
        Mara: painter is cut
        Leif: we are paddling upwind, clear of the fire
        Mara: all three accounted for
        Mara: mayday sent on the handheld
        @hands
        Odd: his hands are burnt, we cool them with sea water
        @tank
        Leif: the drogue is out
        Mara: Mara is in charge
        Leif: a lookout is posted
        Mara: the entrances are shut
        Leif: bailed and mopped dry
        @soft
        Leif: pumped the tube up, it is firm again
        @boat
        Odd: flashing SOS with the torch at the ship""",
    "winter_night": """
        Runa: painter is cut
        Runa: I am in charge
        Kalle: beacon is on
        @whistle
        Birk: threw the quoit to him, hauled him in, nobody is in the water now
        Runa: all eight aboard and counted
        Kalle: drogue is streamed
        Siv: entrances are shut
        Birk: everyone has had a tablet
        Kalle: bailed and sponged dry
        Siv: floor is pumped up
        Runa: lookout posted
        @quiet
        Siv: we put her in the thermal bag
        @parted
        Kalle: spare drogue is out
        @soft
        Birk: tubes topped up, firm now
        @stuffy
        Runa: opened the canopy for five minutes, stale air is out
        @lights
        Kalle: fired one parachute rocket""",
    "capsized": """
        Bo: we righted the raft
        Ines: all four of us are in the raft
        Vera: the epirb is on
        @seen
        Bo: threw the quoit, paddled to him and pulled him in, nobody is in the water
        Ines: everybody accounted for
        @limp
        Vera: he is unconscious but breathing, we put him on his side
        Bo: drogue is out
        Ines: I'm in charge
        Ilka: the entrances are shut
        Bo: bailed and sponged, the raft is dry
        Ilka: lookout posted
        @hiss
        Bo: plugged the leak, the leak is stopped
        @plane
        Vera: threw one smoke signal to leeward""",
    "ship_and_helicopter": """
        Ines: lookout posted
        @ship_far
        Vera: called the ship on channel 16
        @ship_gone
        Ines: she did not see us, we get the next signal ready
        @ship_near
        Bo: burned one hand flare
        @turns
        Kai: everything loose is tied in
        Ines: told everyone: leave the hook alone until it has touched the water, sit low""",
    "warm_drift": """
        Ben: drogue is out
        Ana: everyone took a tablet
        Cem: lookout is posted
        Dora: we counted the water and listed the equipment
        Cem: the entrances are open
        Eli: rain catcher is rigged
        @first_night
        Ana: nobody drinks sea water, not even a little
        @morning
        Dora: drank 2.5 litres of water
        @1800
        Ben: bailed and sponged dry
        Dora: drank 2.5 litres of water
        @rain
        Ben: the first rain ran off, now we are filling everything
        @rain_over
        Dora: drank 5 litres of water
        @3800
        Dora: used 2.5 litres of water
        @plane
        Ben: flashed the mirror at the plane
        @hands
        Eli: salt sores rinsed and padded, not opened
        @5400
        Dora: used 2.5 litres of water
        @ship
        Ben: fired one parachute rocket"""}
"""A crew that does what each drill expects."""

BAD = """
    Olle: what should we take with us?
    Pia: everyone is in the raft
    Sam: the painter is cut
    Sam: fired a rocket
    Olle: how far can a rocket be seen?
    @20
    Pia: somebody is seasick
    Sam: the epirb is on
    @gash
    Juno: what do we do about the bleeding?
    @40
    Juno: the bleeding has stopped
    @45
    Olle: the drogue is out
    @51
    Sam: fired the last rocket
    Pia: everyone took a tablet"""
"""A crew of the calm afternoon that forgets half and fires at nobody."""

TEN_MISTAKES = """
    Kim: entrances are shut
    Kim: fired a rocket
    @10
    Kim: fired another rocket
    @30
    Lou: painter is cut
    Lou: the drogue is out
    @60
    Kim: she is very cold
    @160
    Lou: beacon is on"""
"""The winter night: shut in before the swimmer was in, rockets at nobody, cut free late, no tablet, no leader, no lookout, no bailing,
no floor, nobody warmed, the beacon on when the ship is there."""


def _wait(drill: Drill, until: str) -> None:
    if until.isdigit():
        drill.reach(60.0 * int(until))
    while not until.isdigit() and not drill.over and until not in {moment.event for moment in drill.moments}:
        drill.reach(drill.t_s + (60 if drill.t_s < 6 * 3600 else 300))


def write_log(path: Path, on: Ground, scenario: str, typed: str, *, started: str = "2026-11-02T18:05:00+00:00", vessel: str = "") -> Path:
    """Play a crew's lines in turns, and keep what a drill at the keyboard would have kept."""
    drill = on.drill(on.scenarios[scenario], "asked")
    entries = []
    for line in filter(None, map(str.strip, typed.splitlines())):
        if line.startswith("@"):
            _wait(drill, line[1:])
        elif not drill.over:
            who, _, text = line.partition(": ")
            entries.append(Entry(drill.t_s, who, text))
            drill.say(who, text, drill.t_s)
    crew = tuple(dict.fromkeys(entry.who for entry in entries))
    ends = on.scenarios[scenario].ends.at_s
    file = LogFile.begin(path, Log(scenario, on.scenarios[scenario].digest, "asked", crew, started, {"vessel": vessel}, ()))
    for entry in (*entries, Entry(ends, "", "")):
        file.append(entry)
    file.close()
    return path
