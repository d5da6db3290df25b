package io.github.tidewarden.control;

import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** What the care of the installation forbids and reminds of in one turn. */
final class CareKeeper {

  private final Turn turn;

  CareKeeper(Turn turn) {
    this.turn = turn;
  }

  /** Why no ozone may run, or begin: harm that was measured ends a run, and carbon lets it end. */
  List<Stop> stops() {
    CareMemory.Residual last = turn.memory.care().residual();
    boolean harms = turn.memory.care().harms();
    if (!harms && (turn.lease != null || turn.tank.spec.care().carbon().isEmpty())) {
      return List.of();
    }
    List<Stop> stops = new ArrayList<>();
    if (last != null && harms) {
      stops.add(new Stop(TankFunction.OZONE, ResidualFigures.NAME, why(last), false));
    }
    if (turn.lease == null) {
      turn.tank
          .spec
          .care()
          .carbon()
          .forEach(
              (carbon, life) -> {
                String flaw = flaw(carbon, life);
                if (flaw != null) {
                  stops.add(new Stop(TankFunction.OZONE, carbon.guard(), flaw, false));
                }
              });
    }
    return stops;
  }

  private static String why(CareMemory.Residual last) {
    return ResidualFigures.told(last.milligrams())
        + " as Cl2 was measured by "
        + last.by()
        + ", over the "
        + ResidualFigures.safe()
        + " published as safe; find out why, and `note residual` once it is not ("
        + ResidualFigures.NOT_REDOX
        + ")";
  }

  private @Nullable String flaw(Carbon carbon, CarbonLife life) {
    Long spent = turn.memory.carbonMillis(carbon);
    if (spent == null) {
      return "when the carbon on "
          + carbon.word()
          + " was changed is not known; change it, and `note carbon "
          + carbon.word()
          + "`";
    }
    return nanos(spent) >= life.forbidNanos()
        ? "ozone ran for "
            + hours(nanos(spent))
            + " since the carbon on "
            + carbon.word()
            + " was changed; change it, and `note carbon "
            + carbon.word()
            + "`"
        : null;
  }

  /** Tells of what will soon forbid, once in each window. */
  void windowOpens() {
    turn.tank.spec.care().carbon().forEach(this::remind);
  }

  private void remind(Carbon carbon, CarbonLife life) {
    Long spent = turn.memory.carbonMillis(carbon);
    if (spent != null && nanos(spent) >= life.remindNanos() && nanos(spent) < life.forbidNanos()) {
      turn.write(
          Kind.NOTICE,
          "ozone ran for "
              + hours(nanos(spent))
              + " since the carbon on "
              + carbon.word()
              + " was changed; from "
              + hours(life.forbidNanos())
              + " on no ozone starts",
          Map.of(Fields.NAME, carbon.guard()));
    }
  }

  private static long nanos(long millis) {
    return TimeUnit.MILLISECONDS.toNanos(millis);
  }

  private static String hours(long nanos) {
    return Figures.decimal(nanos / (double) TimeUnit.HOURS.toNanos(1), 1)
            .stripTrailingZeros()
            .toPlainString()
        + " h";
  }

  /** What is known of both, for the state topic; empty for nothing. */
  Map<String, Object> told() {
    Map<String, Object> told = new LinkedHashMap<>();
    Map<String, Object> carbons = new LinkedHashMap<>();
    turn.tank
        .spec
        .care()
        .carbon()
        .forEach((carbon, life) -> carbons.put(carbon.word(), told(carbon, life)));
    if (!carbons.isEmpty()) {
      told.put(Fields.CARBON, carbons);
    }
    if (turn.tank.spec.care().skimmer() != null) {
      told.put(Fields.SKIMMER, SkimmerKeeper.told(turn.memory.care().skimmer()));
    }
    CareMemory.Residual last = turn.memory.care().residual();
    if (last != null && turn.tank.spec.ozone() != null) {
      Map<String, Object> one = new LinkedHashMap<>();
      one.put("at", Figures.recordTime(last.at()));
      one.put(Fields.BY, last.by());
      one.put("mg-per-l-as-cl2", ResidualFigures.decimal(last.milligrams()));
      one.put("over", last.over());
      one.put("not", ResidualFigures.NOT_REDOX);
      told.put(ResidualFigures.NAME, one);
    }
    return told;
  }

  private Map<String, Object> told(Carbon carbon, CarbonLife life) {
    Map<String, Object> one = new LinkedHashMap<>();
    CareMemory.Change change = turn.memory.care().carbons().get(carbon.word());
    Long spent = turn.memory.carbonMillis(carbon);
    if (change != null && spent != null) {
      one.put("changed", Figures.recordTime(change.at()));
      one.put(Fields.BY, change.by());
      one.put("ozone-h", Figures.decimal(spent / 3.6e6, 2));
    }
    one.put("remind-after-h", Figures.decimal(life.remindNanos() / 3.6e12, 2));
    one.put("forbid-after-h", Figures.decimal(life.forbidNanos() / 3.6e12, 2));
    return one;
  }
}
