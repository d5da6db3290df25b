package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Signal;
import java.time.Duration;
import java.time.Instant;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * Watches what cleaning does to a skimmer, and reminds of what is due, once a night. It forbids
 * nothing.
 */
final class SkimmerKeeper {

  /** What counts after a cleaning begins with this: the body wets again, bubbles settle. */
  static final Duration FROM = Duration.ofHours(1);

  /** What counts after a cleaning ends with this. */
  static final Duration TO = Duration.ofHours(24);

  /** A cleaning that brought less than this more air teaches nothing: sensors differ by as much. */
  private static final double LEAST_GAIN = 0.05;

  /** Air is back when no more of the gain is left than this: the margin against noise. */
  private static final double GAIN_LEFT = 0.1;

  private final Turn turn;
  private final SkimmerSpec spec;

  SkimmerKeeper(Turn turn, SkimmerSpec spec) {
    this.turn = turn;
    this.spec = spec;
  }

  /** One cycle; ages are by the wall clock, so nothing is told while that is not trusted. */
  SkimmerState cycle(SkimmerState before) {
    if (turn.now.since(before.sampledNanos()) < SkimmerState.EVERY_NANOS) {
      return before;
    }
    SkimmerState sampled =
        before.with(new SkimmerState.Sample(turn.now.monoNanos(), air(), redox()));
    if (!turn.now.trusted()) {
      return sampled;
    }
    SkimmerMemory known = turn.memory.care().skimmer();
    Instant cleaned = known.cleaned();
    if (cleaned != null && !known.compared()) {
      Duration since = Duration.between(cleaned, turn.now.wall());
      if (since.compareTo(FROM) >= 0 && since.compareTo(TO) < 0) {
        sampled = sampled.countedAfter(cleaned);
      } else if (since.compareTo(TO) >= 0) {
        compare(known, cleaned.equals(sampled.of()) ? sampled.after() : SkimmerState.Sums.NONE);
      }
    }
    spec.afterNanos().forEach(this::remind);
    airBack(sampled);
    return sampled;
  }

  private long air() {
    Signal air = turn.signal(spec.air());
    return air != null && air.good() && Double.isFinite(air.value())
        ? Math.round(air.value() * 1e6)
        : SkimmerMemory.UNKNOWN;
  }

  /** The mean of the good probes, as they read; not while ozone runs. */
  private long redox() {
    double sum = 0;
    int count = 0;
    for (Signal probe : turn.probes) {
      if (probe.good() && Double.isFinite(probe.value())) {
        sum += probe.value();
        count++;
      }
    }
    return count == 0 || turn.lease != null ? SkimmerMemory.UNKNOWN : Math.round(sum / count * 1e3);
  }

  private void compare(SkimmerMemory known, SkimmerState.Sums sums) {
    SkimmerMemory.Means after = sums.means();
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NAME, Fields.SKIMMER);
    known.before().put(fields, Fields.AIR_BEFORE, Fields.REDOX_BEFORE);
    after.put(fields, Fields.AIR_AFTER, Fields.REDOX_AFTER);
    turn.write(
        Kind.CLEANING,
        "what cleaning the skimmer did: air "
            + air(known.before())
            + " before, "
            + air(after)
            + " after; redox outside doses "
            + redox(known.before())
            + " before, "
            + redox(after)
            + " after",
        fields);
  }

  static String air(SkimmerMemory.Means means) {
    Double air = means.litresPerMinute();
    return air == null ? "not known" : Measure.AIR_FLOW.told(air);
  }

  static String redox(SkimmerMemory.Means means) {
    Double redox = means.millivolts();
    return redox == null ? "not known" : Measure.REDOX.told(redox);
  }

  private void remind(SkimmerWork work, long afterNanos) {
    Instant last = turn.memory.care().skimmer().done().get(work.word());
    String done =
        work == SkimmerWork.EMPTIED ? "its cup was emptied" : "the skimmer was " + work.word();
    if (last == null) {
      tell(
          work.notice(),
          "when " + done + " last is not known; do it, and `note skimmer " + work.word() + "`");
    } else if (Duration.between(last, turn.now.wall()).toNanos() >= afterNanos) {
      tell(
          work.notice(),
          done
              + " "
              + Duration.between(last, turn.now.wall()).toHours()
              + " h ago; "
              + Figures.brief(afterNanos / (double) TimeUnit.HOURS.toNanos(1), UnitCode.HOURS)
              + " are configured");
    }
  }

  private void airBack(SkimmerState sampled) {
    SkimmerMemory known = turn.memory.care().skimmer();
    Double before = known.before().litresPerMinute();
    Double after = known.after().litresPerMinute();
    Double now = sampled.lastHour(turn.now).litresPerMinute();
    if (before != null
        && after != null
        && now != null
        && after >= before * (1 + LEAST_GAIN)
        && now <= before + GAIN_LEFT * (after - before)) {
      tell(
          SkimmerMemory.AIR_BACK,
          "the skimmer wants cleaning: over the last hour it drew "
              + Measure.AIR_FLOW.told(now)
              + ", before the last cleaning "
              + Measure.AIR_FLOW.told(before)
              + ", after it "
              + Measure.AIR_FLOW.told(after));
    }
  }

  /** Once a night, whatever starts between. */
  private void tell(String name, String why) {
    if (!turn.plan.night().equals(turn.memory.care().skimmer().told().get(name))) {
      turn.write(Kind.NOTICE, why, Map.of(Fields.NAME, name));
    }
  }

  /** What was done when, for the state topic. */
  static Map<String, Object> told(SkimmerMemory known) {
    Map<String, Object> told = new LinkedHashMap<>();
    known.done().forEach((word, at) -> told.put(word, Figures.recordTime(at)));
    put(told, "air-before-l-per-min", known.before().litresPerMinute(), Measure.AIR_FLOW);
    put(told, "air-after-l-per-min", known.after().litresPerMinute(), Measure.AIR_FLOW);
    return told;
  }

  private static void put(
      Map<String, Object> told, String name, @Nullable Double value, Measure measure) {
    if (value != null) {
      told.put(name, measure.figure(value));
    }
  }
}
