package io.github.tidewarden.control;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.schedule.NightPlan;
import java.time.LocalDate;
import java.util.LinkedHashMap;
import java.util.Map;

/** Closes the account of each night's exchange once, over gaps too. */
final class WaterAccount {

  /** How many nights back what was missed is told after a gap. */
  private static final int MOST_NIGHTS_BACK = 14;

  private final Turn turn;
  private final ExchangeSpec spec;
  private final NightPlan plan;

  WaterAccount(Turn turn, ExchangeSpec spec, NightPlan plan) {
    this.turn = turn;
    this.spec = spec;
    this.plan = plan;
  }

  /** Once a night's windows are over, what was owed in it and not exchanged lapses. */
  void close() {
    if (!turn.now.trusted()) {
      return;
    }
    LocalDate last = turn.memory.water().accounted();
    LocalDate over = lastNightOver();
    if (last == null) {
      account(over, 0, "the exchange of this tank begins");
      return;
    }
    if (last.isBefore(over.minusDays(MOST_NIGHTS_BACK))) {
      last = over.minusDays(MOST_NIGHTS_BACK);
    }
    for (LocalDate night = last.plusDays(1); !night.isAfter(over); night = night.plusDays(1)) {
      boolean owed = !NightPlan.of(night, turn.tank.zone, spec.windows()).windows().isEmpty();
      account(
          night,
          owed ? Math.round(spec.litresPerDay() * 1000) : 0,
          "the windows of this night are over");
    }
  }

  /** The last night whose windows have all closed. */
  private LocalDate lastNightOver() {
    LocalDate night = plan.night();
    boolean over =
        plan.windows().stream().allMatch(w -> !w.interval().end().isAfter(turn.now.wall()));
    return over ? night : night.minusDays(1);
  }

  private void account(LocalDate night, long share, String why) {
    long out = turn.memory.water().drainedInNight(night);
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, night.toString());
    fields.put("owed-ml", share);
    fields.put(Fields.OUT_ML, out);
    fields.put("missed-ml", Math.max(0, share - out));
    turn.write(Kind.EXCHANGED, why, fields);
  }
}
