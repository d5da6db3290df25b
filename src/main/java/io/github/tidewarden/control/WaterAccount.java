package io.github.tidewarden.control;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.SaltWatch;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.OpenWindow;
import java.time.LocalDate;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/** Closes the account of each night's exchange once, over gaps too. */
final class WaterAccount {

  /** How many nights back what was missed is told after a gap. */
  private static final int MOST_NIGHTS_BACK = 14;

  /**
   * So many nights ahead of the clock an account may be: nothing is exchanged then until they have
   * come, for they may have been lived through already. When it is more, the clock was wrong
   * before.
   */
  private static final int MOST_NIGHTS_AHEAD = 7;

  private final Turn turn;
  private final ExchangeSpec spec;
  private final NightPlan plan;
  private final String hindrance;

  /**
   * The account of one tank.
   *
   * @param hindrance what held up the last portion that was due; empty for nothing
   */
  WaterAccount(Turn turn, ExchangeSpec spec, NightPlan plan, String hindrance) {
    this.turn = turn;
    this.spec = spec;
    this.plan = plan;
    this.hindrance = hindrance;
  }

  /**
   * Once a night's windows are over, what was owed in it and not exchanged lapses.
   *
   * @return whether one was closed now in which water went out
   */
  boolean close() {
    if (!turn.now.trusted()) {
      return false;
    }
    LocalDate last = turn.memory.water().accounted();
    LocalDate over = lastNightOver();
    if (last == null) {
      account(over, 0, "the exchange of this tank begins");
      return false;
    }
    if (last.isAfter(plan.night().plusDays(MOST_NIGHTS_AHEAD))) {
      account(over, 0, "the clock was ahead by days; what is exchanged counts from here on");
      return false;
    }
    if (!last.isBefore(over)) {
      return false;
    }
    if (last.isBefore(over.minusDays(MOST_NIGHTS_BACK))) {
      last = over.minusDays(MOST_NIGHTS_BACK);
    }
    boolean out = false;
    for (LocalDate night = last.plusDays(1); !night.isAfter(over); night = night.plusDays(1)) {
      boolean owed = !NightPlan.of(night, turn.tank.zone, spec.windows()).windows().isEmpty();
      out |= turn.memory.water().ledger().outMillilitres(night) > 0;
      account(
          night,
          owed ? Math.round(spec.litresPerDay() * 1000) : 0,
          "the windows of this night are over");
    }
    return out;
  }

  /** The last night whose windows have all closed; one may run on past the noon that ends it. */
  private LocalDate lastNightOver() {
    LocalDate night = plan.night();
    OpenWindow open = plan.openAt(turn.now.wall());
    if (open != null) {
      return open.night().minusDays(1);
    }
    for (OpenWindow window : plan.windows()) {
      if (window.interval().end().isAfter(turn.now.wall())) {
        return night.minusDays(1);
      }
    }
    return night;
  }

  private void account(LocalDate night, long share, String why) {
    WaterMemory water = turn.memory.water();
    long out = water.ledger().outMillilitres(night) + water.halfDoneInNight(night);
    SaltMemory salt = water.salt();
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, night.toString());
    fields.put("owed-ml", share);
    fields.put(Fields.OUT_ML, out);
    fields.put(Fields.IN_ML, water.ledger().inMillilitres(night));
    fields.put("missed-ml", Math.max(0, share - out));
    fields.put(Fields.DAY_OUT_ML, water.drainedIn24h(turn.before.boot(), turn.now));
    fields.put("week-out-ml", water.ledger().weekOutMillilitres(night));
    fields.put("week-new-ppm", water.ledger().weekNewMillionths(night));
    boolean thisYear = water.ledger().year() == night.getYear();
    fields.put("year-out-ml", thisYear ? water.ledger().yearOutMillilitres() : 0L);
    fields.put("year-in-ml", thisYear ? water.ledger().yearInMillilitres() : 0L);
    fields.put(Fields.SALT_DRIFT, salt.night());
    turn.write(Kind.EXCHANGED, share > out && !hindrance.isEmpty() ? hindrance : why, fields);
    tellDrift(salt.drifts(), turn.memory.water().salt().drifts());
  }

  /** What the salinity of the last nights says, when it did not say so before. */
  private void tellDrift(List<Long> before, List<Long> now) {
    String told = SaltWatch.drift(psu(now));
    if (told != null && SaltWatch.drift(psu(before)) == null) {
      turn.write(Kind.NOTICE, told, Map.of(Fields.NAME, "salinity-drifts"));
    }
  }

  private static List<Double> psu(List<Long> millionths) {
    return millionths.stream().map(each -> each / 1e6).toList();
  }
}
