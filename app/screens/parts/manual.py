"""The user's guide in words: chapters, shown in the program and written as pages with the demo's pictures."""

from dataclasses import dataclass

from app.screens.parts.statements import BEFORE_FIRST_PHOTO, NEVER_REPLACES


@dataclass(frozen=True)
class Chapter:
    """One page of the guide; `key` names it in addresses and files."""

    key: str
    title: str
    lead: str
    steps: tuple[str, ...]


CHAPTERS = (
    Chapter(
        "photo",
        "The photo",
        "Two minutes for a leg: state the condition, place the card, photograph, look at the result.",
        (
            "State what holds before the photo. Nothing is ticked for you, and what does not hold is a "
            "reason not to photograph.",
            "Hang the card on the painted cylinder, its length beside the piston, never on chrome.",
            "Hold the camera level with the collar and square to the card. Stay outside every propeller's"
            " arc.",
            "The photo is stored first and then read. A reload, a locked screen or a dead spot loses "
            "nothing.",
            "A refusal says what was wrong and the one thing to do about it.",
            "Send the reading: a second person then reads the bare photo before he is shown any value.",
        ),
    ),
    Chapter(
        "away",
        "Without a network",
        "Photograph on; add the photos later from the phone's gallery.",
        (
            "Open Legs, then Photos taken without a network, and pick all of them at once.",
            "They are kept on the phone until the server has each of them, and none is sent twice.",
            "A leg's tag in the picture names the leg. Without one you are asked.",
            "A photo that was not taken on this visit, as far as its own clock tells, is questioned: say "
            "why it shows this leg under the condition you state, or set it aside with a reason.",
            "What you typed in a form is still there after a reload; passwords and ticks never are.",
        ),
    ),
    Chapter(
        "cards",
        "The cards: print, check, hold, count",
        "The card is the scale of everything, so it is made and looked after like a gauge.",
        (
            "Print at 100 % on matt stock; every copy has its own number.",
            "Measure both check bars with a steel rule, and enter what you found with the rule and a due "
            "date. A card that nobody measured makes U larger; an overdue one is refused.",
            "Hold it on the painted cylinder by a strap or a helper's hand: no magnet, adhesive or clip.",
            "Count cards and phones out and in. The count stands before a gear swing and before the sign-"
            "off.",
        ),
    ),
    Chapter(
        "hoses",
        "Hoses on photos",
        "The search points at places; you judge each of them, and what it did not see you look at yourself.",
        (
            "Photograph a hose square and close, then from its other side. Never feel for a leak with the "
            "hand.",
            "Name each hose and tap along its middle, from one end to the other, three places or more.",
            "Mark on the bare photo what you would look at closer, or say that you see none. What the search "
            "flagged is shown only after that.",
            "Judge place by place: wear, reflection, dirt, fluid, or cannot tell. Nothing answers two at "
            "once.",
            "What was set aside stands with its reason; bring back what you would judge yourself.",
            "May a flag be a reflection? A second photo, 100 mm or more along the hose, sets aside what "
            "moved, and can be wrong. Flash only where local rules allow it.",
            "Stretches that were not searched are drawn along each hose. Say how you looked at them instead.",
            "Hand, mirror and light go round every hose, doors and steering at their extremes: always, "
            "also without a photo. Nothing wrong is said after that.",
            "The second person does the same on the same photos, without a word of the first.",
            "Wear or fluid that you judge opens a discrepancy at once, and your other places are yours "
            "alone: two people look at these hoses again at its re-inspection.",
            "What you enter as wrong beside the photos leaves them open: both of you judge them after it.",
        ),
    ),
    Chapter(
        "surfaces",
        "Surfaces on photos",
        "A help beside the eye at braces, doors, wheel well and finish: each can be answered without one.",
        (
            "Clean and dry, then a photo square to the surface and close, light flat from the side, no "
            "flash. Nobody under a door or gear that is not pinned.",
            "Tap two opposite corners of the piece that is to be searched, or more corners in their order "
            "round. What is not shown is not searched.",
            "Mark on the bare photo what you would look at closer, or say that you see none; then judge each "
            "flag, and bring back what was set aside and you would judge yourself.",
            "Say how you looked at what was not searched: the crossed squares, and all that lies in no "
            "photo's region.",
            "Hand, mirror and light go over all of it. Pits and flaking of chrome are found by them alone.",
            "Nothing flagged says nothing of wear. What you judge as wear or fluid opens a discrepancy; have "
            "its limits from the document.",
            "The second person judges the same photos without a word of the first, and looks at the aircraft "
            "himself.",
        ),
    ),
    Chapter(
        "desk",
        "The desk",
        "The second person reads first, then sees all readings side by side, then signs.",
        (
            "Waiting lists photos by time alone; no value and no verdict is on that page.",
            "Place both ends on the bare photo with a finger, the mouse or the arrow keys. Stored, the "
            "reading is yours and final.",
            "Then all readings stand side by side. Agreement within the combined U lets the photo's "
            "reading stand; anything else asks for a hand measurement or opens a discrepancy.",
            "Each signature takes your own password and covers just what was on the screen.",
            "Nobody confirms his own work, and an administrator signs nothing.",
        ),
    ),
    Chapter(
        "record",
        "The record",
        "Nothing that was entered is ever changed; what corrects it is entered beside it.",
        (
            "Every try at a photo stays on its item, refused ones too.",
            "Find and Archive lead to the whole story of an item: photos, readings, people, times.",
            "An export opens in any browser without this program and can be verified by itself.",
            "The head of the archive's chain, kept on paper elsewhere, shows later whether anything was "
            "rewritten.",
        ),
    ),
    Chapter(
        "phones",
        "Letting a phone in",
        "Start the server with `serve --lan`; then Lists, Phones shows a code to scan.",
        (
            "The code counts once and for ten minutes. The phone gets a name, and you sign in on it once.",
            "The phone warns once of a certificate that it does not know: compare the fingerprint with "
            "the one on the desk's screen, and leave off where it differs.",
            "A lost phone is shut out in the same list, by its person or an administrator. Whoever was "
            "signed in on it no longer is.",
        ),
    ),
    Chapter(
        "limits",
        "Limits and cautions",
        "What this program does not do, and what has to hold before the first photo.",
        (
            *BEFORE_FIRST_PHOTO,
            "It decides nothing and releases no aircraft. Without the aircraft's own limits there is no "
            "verdict.",
            "A right extension does not prove the oil level; friction, temperature and load move a strut "
            "by more than U.",
            "It looks only where it was asked to. What a photo does not show was not inspected.",
            NEVER_REPLACES,
        ),
    ),
    Chapter(
        "sure",
        "How sure, and how we know",
        "U is the photo measurement's own doubt: with 95 % probability the true length lies within ± U.",
        (
            "It was measured on rendered scenes whose truth is known. The figures stand in the project's "
            "README, with the share that was refused and the largest error.",
            "Nothing was tried on a real aircraft. So a leg's readings are supporting at first: a hand "
            "measurement stands beside each.",
            "Commission each leg: measure it by photo and by hand until your own study of that leg, "
            "approved by a named person, says that its photos may stand by themselves.",
            "Within, outside and undecided keep a guard of U to each limit. Undecided asks for a hand "
            "measurement.",
            "Practise on rendered scenes: you see your hits and misses, and how often you followed a "
            "wrong value.",
        ),
    ),
)
