"""Every intent and the plain function that answers it. The only such list."""

from collections.abc import Callable

from assistant import (
    answer_amounts,
    answer_before,
    answer_knowledge,
    answer_now,
    answer_reports,
    answer_talk,
    answer_time,
)
from assistant.meaning import Understood
from assistant.reply import Reply
from assistant.scene import Scene

Answer = Callable[[Understood, Scene], Reply]


def describe(intent: str) -> str:
    """An intent in a few words, for asking back: "report done"."""
    return intent.replace("_", " ")


ANSWERS: dict[str, Answer] = {
    "what_now": answer_now.what_now,
    "what_next": answer_now.what_next,
    "what_after_next": answer_now.what_after_next,
    "whats_on_heat": answer_now.whats_on_heat,
    "what_waiting": answer_now.what_waiting,
    "where_was_i": answer_now.where_was_i,
    "step_again": answer_now.step_again,
    "step_in_full": answer_now.step_in_full,
    "step_amounts": answer_now.step_amounts,
    "done_cue": answer_now.done_cue,
    "time_left": answer_time.time_left_of,
    "when_ready": answer_time.when_ready,
    "when_eat": answer_time.when_eat,
    "pace": answer_time.pace,
    "will_make": answer_time.will_make,
    "what_time": answer_time.what_time,
    "how_long_total": answer_time.how_long_total,
    "timer_set": answer_time.timer_set,
    "timer_left": answer_time.timer_left,
    "timer_change": answer_time.timer_change,
    "timer_cancel": answer_time.timer_cancel,
    "remind_me": answer_time.timer_set,
    "report_begun": answer_reports.report_begun,
    "report_done": answer_reports.report_done,
    "report_longer": answer_reports.report_longer,
    "report_gate": answer_reports.report_gate,
    "report_not_yet": answer_reports.report_not_yet,
    "report_forgot": answer_reports.report_forgot,
    "report_spoilt": answer_reports.report_spoilt,
    "skip_step": answer_reports.skip_step,
    "go_back": answer_reports.go_back,
    "undo": answer_reports.undo,
    "pause_cook": answer_reports.pause_cook,
    "carry_on": answer_reports.carry_on,
    "move_service": answer_reports.move_service,
    "change_servings": answer_reports.change_servings,
    "equipment_lost": answer_reports.equipment_lost,
    "cook_joined": answer_reports.cook_joined,
    "cook_left": answer_reports.cook_left,
    "drop_dish": answer_reports.drop_dish,
    "how_much": answer_amounts.how_much,
    "convert": answer_amounts.convert_amount,
    "scale_amount": answer_amounts.scale_amount,
    "left_to_add": answer_amounts.left_to_add,
    "pan_swap": answer_amounts.pan_swap,
    "can_we": answer_before.can_we,
    "can_start": answer_before.can_start,
    "shopping": answer_before.shopping,
    "set_out": answer_before.set_out,
    "do_ahead": answer_before.do_ahead,
    "preheat": answer_before.preheat,
    "read_plan": answer_before.read_plan,
    "to_mark": answer_before.to_mark,
    "show_what": answer_before.show_what,
    "took": answer_before.took,
    "swap": answer_knowledge.answer_swap,
    "safe_temperature": answer_knowledge.answer_safe_temperature,
    "keeps": answer_knowledge.answer_keeps,
    "reheat": answer_knowledge.answer_reheat,
    "cool_down": answer_knowledge.answer_cool_down,
    "allergens": answer_knowledge.answer_allergens,
    "who_cannot": answer_knowledge.answer_who_cannot,
    "water_ratio": answer_knowledge.answer_water_ratio,
    "cook_time": answer_knowledge.answer_cook_time,
    "altitude": answer_knowledge.answer_altitude,
    "stop": answer_talk.stop,
    "hush": answer_talk.hush,
    "speak_up": answer_talk.speak_up,
    "slower": answer_talk.slower,
    "faster": answer_talk.faster,
    "louder": answer_talk.louder,
    "softer": answer_talk.softer,
    "shorter": answer_talk.shorter,
    "thanks": answer_talk.thanks,
    "greet": answer_talk.greet,
    "help": answer_talk.help_,
    "set_units": answer_talk.set_units,
}
