package io.github.tidewarden.config;

import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.schedule.ClockWatch;
import java.util.ArrayList;
import java.util.List;

/**
 * Reads what happens to the wall clock in a drill. It loses trust by a step and in no other way;
 * where the time service vouches for it, it can also be without proof at the start.
 */
final class DrillClock {
  private static final Limits STEP = Limits.between(UnitCode.DAYS, -366, 366);
  private static final List<String> WORDS = List.of("trusted", "untrusted");

  private final boolean batteryBacked;
  private final DrillTimes times;
  private final DrillEnd end;
  private final List<Drill.Given> given = new ArrayList<>();
  private boolean trustedAtStart = true;

  DrillClock(ClockSpec spec, DrillTimes times, DrillEnd end) {
    batteryBacked = spec.trustedWhen() == ClockSpec.TrustedWhen.BATTERY_BACKED;
    this.times = times;
    this.end = end;
  }

  boolean trustedAtStart() {
    return trustedAtStart;
  }

  List<Drill.Given> read(Value value) {
    if (!value.isList() && !value.isMapping()) {
      is(value, 0);
      return given;
    }
    List<Value> items = value.list();
    for (Value item : items == null ? List.<Value>of() : items) {
      Section section = item.section();
      if (section != null) {
        step(item, section);
      }
    }
    return given;
  }

  private void step(Value item, Section section) {
    Long at = section.required("at", "10 min").map(times::at).orElse(null);
    boolean steps = section.has("stepped-by");
    if (steps == section.has("is")) {
      section.complain(
          section.place(),
          steps ? "this says two things: `stepped-by` and `is`" : "this says nothing of the clock",
          "one of `stepped-by: 5 min` and `is: trusted`");
      return;
    }
    if (at == null) {
      return;
    }
    end.matters(item, at, "what happens");
    if (steps) {
      section.optional("stepped-by").ifPresent(by -> steppedBy(by, at));
    } else {
      section.optional("is").ifPresent(is -> is(is, at));
    }
  }

  private void steppedBy(Value value, long at) {
    Amount by = value.amount(STEP);
    if (by == null) {
      return;
    }
    long most = ClockWatch.MOST_DRIFT.toNanos();
    if (Math.abs(by.nanos()) <= most) {
      value.complain(
          "a clock that is " + by + " off has not been stepped", "over 2 s, or under -2 s");
      return;
    }
    given.add(new Drill.ClockSteps(at, by.nanos()));
  }

  private void is(Value value, long at) {
    String word = value.oneOf(WORDS);
    if (word == null) {
      return;
    }
    if (batteryBacked) {
      value.complain(
          "this site's clock is battery-backed: nobody says that it is " + word,
          "take it out; it is trusted from the start, and again 60 s after a step");
    } else if (word.equals("trusted") && trustedAtStart && given.isEmpty()) {
      value.complain(
          "the clock is trusted from the start", "take it out, or write a step before it");
    } else if (word.equals("trusted")) {
      given.add(new Drill.ClockShown(at));
    } else if (at == 0) {
      trustedAtStart = false;
    } else {
      value.complain(
          "a clock that is trusted loses that by a step only", "write `stepped-by: 5 min`");
    }
  }
}
