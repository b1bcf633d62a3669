"""Practice births with one thing done otherwise each, and what the debrief is to name."""

from tests.drills import REST_S, answered, applied, begun, birth, called, easy, ended, off, opened, pulled, sent_on, twice_off


def decided(name, **told):
    return answered(opened(name), name, **told).after(5)


def third(story):
    """What follows two pulls of an easy birth."""
    return ended(birth(story))


def two_pulls(story):
    """The first two pulls of an easy birth."""
    story = pulled(story)
    return story.after(REST_S).begins().after(47).ends().after(3).perineum().judged("yes")


def high_head(story):
    return ended(sent_on(story.decided("refer", "refer")))


def bad_cup(placement):
    story = decided("easy").decided().after(20).cup_on(placement=placement).after(5).swept()
    story = story.after(5).first_suction().after(5).swept().after(5).working_suction().after(5).swept().after(25)
    return third(two_pulls(story))


def without_sweep(missing):
    """Put the cup on with one sweep of the rim left out."""
    story = decided("easy").decided().after(20).cup_on().after(5)
    story = story if missing == "sweep_before" else story.swept()
    story = story.after(5).first_suction().after(5)
    story = story if missing == "sweep_first" else story.swept()
    story = story.after(5).working_suction().after(5)
    story = story if missing == "sweep_working" else story.swept()
    return third(two_pulls(story.after(25)))


def no_descent(*last):
    """Two pulls without descent, the stop shown, and what was done about it."""
    story = pulled(pulled(begun("no_descent"), "no"), "no", rest=REST_S)
    return story.shown("poor_pulls", "stop")


def first_scalp_missed():
    story = pulled(begun("comes_off")).after(REST_S)
    story = applied(story.begins().after(11).hiss().after(5).detached())
    return ended(called(off(story.after(REST_S))))


def hiss_missed():
    """Air hissed in the second pull, it ended, and the next began with the rim as it was."""
    story = pulled(begun("easy")).after(REST_S).begins().after(20).hiss().after(27).ends()
    return third(story.after(3).perineum().judged("yes"))


BY_THE_BOOK = {
    "easy": lambda: third(easy()),
    "comes_off": lambda: ended(called(twice_off())),
    "no_descent": lambda: ended(called(no_descent(), on=True)),
    "high_head": lambda: high_head(decided("high_head")),
    "altitude": lambda: third(two_pulls(applied(decided("altitude").decided(), reading=68_000))),
    "bleeds_later": lambda: ended(birth(two_pulls(begun("bleeds_later"))).after(60).tells("newborn_team_told")),
}

# Each mistake: the script, what was played, and what the debrief names.
MISTAKES = {
    "one question not asked": ("easy", lambda: third(two_pulls(applied(answered(opened("easy"), "easy", without=("bladder",)).decided(verdict="unknown")))), ("skipped", "bladder", None)),
    "no plan agreed": ("easy", lambda: third(two_pulls(applied(answered(opened("easy"), "easy", without=("plan",)).decided(verdict="unknown")))), ("skipped", "plan", None)),
    "one question asked after the start": ("easy", lambda: third(two_pulls(applied(answered(opened("easy"), "easy", without=("consent",)).decided(verdict="unknown").after(9).answered("consent", "yes")))), ("answered_late", "consent", None)),
    "not sure, and started": ("easy", lambda: third(two_pulls(begun("easy", waters="unsure"))), ("unsure", "waters", None), ("started_against", "not_yet", None)),
    "a finding answered otherwise": ("easy", lambda: third(two_pulls(begun("easy", moulding="none"))), ("answered_otherwise", "moulding", None)),
    "a head too high, and started": ("high_head", lambda: ended(called(pulled(pulled(begun("high_head"), "no"), "no", rest=REST_S).shown("poor_pulls", "stop"), on=True)), ("started_against", "refer", None)),
    "nothing against it, and sent on": ("easy", lambda: ended(sent_on(decided("easy").decided("refer"))), ("not_started", None, None)),
    "sent on, and nobody called": ("high_head", lambda: ended(decided("high_head").decided("refer", "refer").after(60)), ("plan_not_called", None, None)),
    "rim not swept before suction": ("easy", lambda: without_sweep("sweep_before"), ("rim_not_swept", "sweep_before", 1)),
    "rim not swept after first suction": ("easy", lambda: without_sweep("sweep_first"), ("rim_not_swept", "sweep_first", 1)),
    "rim not swept after working suction": ("easy", lambda: without_sweep("sweep_working"), ("rim_not_swept", "sweep_working", 1)),
    "rim not swept after a hiss": ("easy", hiss_missed, ("rim_not_swept", "hiss", 1)),
    "suction below its band": ("easy", lambda: third(two_pulls(applied(decided("easy").decided(), reading=59_000))), ("suction_low", "working", None)),
    "suction above its band": ("easy", lambda: third(two_pulls(applied(decided("easy").decided(), reading=81_000))), ("suction_high", "working", None)),
    "more suction than there is air": ("altitude", lambda: third(two_pulls(applied(decided("altitude").decided(), reading=80_000))), ("suction_beyond_air", "working", None)),
    "cup too far to the front": ("easy", lambda: bad_cup("deflexing_median"), ("pulled_deflexing", None, 1)),
    "scalp not looked at": ("comes_off", first_scalp_missed, ("scalp_not_checked", None, 1)),
    "cup put on after the second time it came off": ("comes_off", lambda: ended(called(twice_off().after(20).cup_on(), on=True)), ("applied_after_stop", "descent_pulls", 3)),
    "a pull after the stop": ("no_descent", lambda: ended(called(pulled(no_descent().answers("poor_pulls", "continued"), "no", rest=REST_S), on=True)), ("pulled_after_stop", "poor_pulls", 3)),
    "a pull after the stop, which nobody asked to judge": ("no_descent", lambda: ended(called(pulled(no_descent().answers("poor_pulls", "continued"), None, rest=REST_S), on=True)), ("pulled_after_stop", "poor_pulls", 3)),
    "a pull without a contraction": ("easy", lambda: ended(birth(pulled(pulled(begun("easy")), None, rest=60).perineum().judged("yes"))), ("without_contraction", None, 2)),
    "descent not judged": ("easy", lambda: ended(birth(pulled(begun("easy"), None).after(REST_S).begins().after(47).ends().after(3).perineum().judged("yes"))), ("not_judged", None, 1)),
    "descent judged otherwise": ("no_descent", lambda: ended(called(pulled(pulled(pulled(begun("no_descent"), "yes"), "no", rest=REST_S), "no", rest=REST_S).shown("poor_pulls", "stop"), on=True)), ("judged_otherwise", "no", 1)),
    "stop answered late": ("no_descent", lambda: ended(called(no_descent().after(61), on=True)), ("stop_late", "poor_pulls", 71)),
    "stop not answered": ("no_descent", lambda: ended(no_descent().after(9).cup_off("stop")), ("stop_unanswered", "poor_pulls", None)),
    "stopped, and nobody called": ("no_descent", lambda: ended(no_descent().after(9).stopped().after(5).cup_off("stop")), ("plan_not_called", None, None)),
    "stopped, and the cup left on": ("no_descent", lambda: ended(sent_on(no_descent().after(9).stopped())), ("cup_left_on", None, None)),
    "told and not tapped": ("easy", lambda: third(pulled(pulled(begun("easy")), rest=REST_S)), ("not_recorded", "perineum", 2)),
    "tapped late": ("easy", lambda: ended(birth(pulled(begun("easy")).after(REST_S).begins().after(66).ends().after(3).perineum().judged("yes"))), ("recorded_late", "over", 21)),
    "care skipped": ("easy", lambda: ended(easy().after(REST_S).begins().after(22).head_out().after(5).cup_off().after(14).born().after(100).tells("apgar_scored", minute=1, score=8)), ("care_skipped", "oxytocin", None)),
    "care done late": ("easy", lambda: ended(easy().after(REST_S).begins().after(22).head_out().after(5).cup_off().after(14).born().after(125).tells("medicine_given", to="mother", medicine="oxytocin")), ("care_late", "oxytocin", 2)),
    "a bleeding baby, and nobody told": ("bleeds_later", lambda: ended(birth(two_pulls(begun("bleeds_later"))).after(5 * 60).tells("apgar_scored", minute=5, score=9)), ("not_recorded", "bleeds", 1)),
}
