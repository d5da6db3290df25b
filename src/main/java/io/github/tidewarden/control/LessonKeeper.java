package io.github.tidewarden.control;

import io.github.tidewarden.control.Teaching.Dose;
import io.github.tidewarden.dosing.DoseCourse;
import io.github.tidewarden.dosing.Outlook;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.science.FirstOrder;
import io.github.tidewarden.science.StepFit;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Signal;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import org.jspecify.annotations.Nullable;

/**
 * Learns from each dose how the water of a tank and each of its probes answer ozone, and foresees
 * the next one by it. It only takes away: a dose ends earlier by what is foreseen, never later.
 */
final class LessonKeeper {
  private static final String IMPLAUSIBLE = "no water answers ozone so";

  private final Turn turn;
  private final OzoneSpec ozone;

  LessonKeeper(Turn turn, OzoneSpec ozone) {
    this.turn = turn;
    this.ozone = ozone;
  }

  private boolean learns() {
    return ozone.firstDoseNanos() > 0;
  }

  /**
   * What is foreseen now, once the readings of this turn are known.
   *
   * @param probes what dosing goes by, in the order of the probes
   * @param stops what stops ozone is no quiet dose
   */
  Outlook outlook(List<Signal> probes, List<Stop> stops) {
    if (!learns()) {
      return Outlook.NONE;
    }
    follows(probes);
    String disturbed = disturbed(probes, stops);
    if (!disturbed.isEmpty() && turn.teaching.disturbed().isEmpty()) {
      turn.teaching = turn.teaching.disturbedBy(disturbed);
    }
    teaches();
    return Outlook.of(
        turn.teaching.courses(),
        turn.memory.lessons().of(ozone.probes()),
        turn.memory.lessons().first(),
        ozone,
        turn.lease != null,
        turn.now);
  }

  private void follows(List<Signal> probes) {
    List<DoseCourse> courses = turn.teaching.courses();
    List<DoseCourse> next = null;
    for (int probe = 0; probe < courses.size(); probe++) {
      DoseCourse was = courses.get(probe);
      DoseCourse is = was.with(probes.get(probe), turn.now);
      if (is != was) {
        next = next == null ? new ArrayList<>(courses) : next;
        next.set(probe, is);
      }
    }
    if (next != null) {
      turn.teaching = turn.teaching.with(List.copyOf(next));
    }
  }

  /** What moves water or probes besides ozone, in a dose or while its effect is awaited. */
  private String disturbed(List<Signal> probes, List<Stop> stops) {
    Teaching is = turn.teaching;
    if (is.begun() == null && is.ended() == null) {
      if (turn.window == null && !is.disturbed().isEmpty()) {
        turn.teaching = is.disturbedBy("");
      }
      return "";
    }
    for (Stop stop : stops) {
      if (stop.function() == TankFunction.OZONE) {
        return stop.name() + ": " + stop.why();
      }
    }
    for (Signal probe : probes) {
      if (!probe.good()) {
        return probe.name() + " is " + probe.reason();
      }
    }
    return turn.memory.water().portion() != null
        ? "a portion of water is under way"
        : turn.interruption;
  }

  /** Once the effect of the last dose has been awaited. */
  private void teaches() {
    Dose ended = turn.teaching.ended();
    if (ended == null || turn.now.since(ended.endedNanos()) < awaited(ended)) {
      return;
    }
    String disturbed = turn.teaching.disturbed();
    Map<String, Object> probes = new LinkedHashMap<>();
    List<String> told = new ArrayList<>();
    double rise = Double.NEGATIVE_INFINITY;
    for (int i = 0; i < ozone.probes().size(); i++) {
      String name = ozone.probes().get(i);
      DoseCourse course = turn.teaching.courses().get(i);
      rise = Math.max(rise, course.lastRise());
      StepFit.Outcome outcome = disturbed.isEmpty() ? course.fit() : null;
      probes.put(name, fields(outcome));
      told.add(name + ": " + told(outcome));
    }
    boolean known = disturbed.isEmpty() && Double.isFinite(rise);
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.RUN, ended.run());
    fields.put(Fields.RAN_MS, (ended.endedNanos() - ended.startedNanos()) / 1_000_000);
    fields.put(Fields.FIRST, ended.first() && known);
    fields.put(Fields.RISE_UV, known ? ProbeMemory.microvolts(rise) : 0L);
    fields.put(Fields.PROBES, probes);
    turn.write(
        Kind.LEARNED,
        disturbed.isEmpty()
            ? String.join("; ", told)
            : "nothing is learned of this dose: " + disturbed,
        fields);
    turn.teaching = turn.teaching.taught();
  }

  private long awaited(Dose ended) {
    return ended.first()
        ? Math.max(Outlook.AWAITED.toNanos(), ozone.shortestOffNanos())
        : ozone.shortestOffNanos();
  }

  private static Map<String, Object> fields(StepFit.@Nullable Outcome outcome) {
    Map<String, Object> fields = new LinkedHashMap<>();
    if (outcome instanceof StepFit.Fitted fitted && !Lessons.isPlausible(fitted.process())) {
      fields.put("reason", IMPLAUSIBLE);
    } else if (outcome instanceof StepFit.Fitted fitted) {
      fields.putAll(Lessons.fields(fitted.lagged()));
      fields.put("rate-error-ppm", share(fitted.rateError(), fitted.process().ratePerSecond()));
      fields.put(
          "tau-error-ppm",
          share(fitted.timeConstantError(), fitted.process().timeConstantSeconds()));
      fields.put("dead-error-ms", Math.round(1000 * fitted.deadTimeError()));
      fields.put("noise-uv", ProbeMemory.microvolts(fitted.noise()));
    } else if (outcome instanceof StepFit.Refused refused) {
      fields.put("reason", word(refused.reason()));
    }
    return fields;
  }

  private static long share(double error, double of) {
    return Math.round(1e6 * error / Math.abs(of));
  }

  private static String word(StepFit.Reason reason) {
    return reason.name().toLowerCase(Locale.ROOT).replace('_', ' ');
  }

  private String told(StepFit.@Nullable Outcome outcome) {
    if (outcome instanceof StepFit.Fitted fitted && !Lessons.isPlausible(fitted.process())) {
      return "nothing learned, " + IMPLAUSIBLE;
    }
    if (outcome instanceof StepFit.Fitted fitted) {
      FirstOrder water = fitted.process();
      return "an hour of ozone lifts it by "
          + Measure.REDOX.told(water.response(water.deadTimeSeconds() + 3600, rate()))
          + ", after "
          + Figures.span((long) (1e9 * water.deadTimeSeconds()))
          + " of nothing, by "
          + Measure.REDOX.told(60 * water.ratePerSecond() * rate())
          + " a minute at first";
    }
    return outcome instanceof StepFit.Refused refused
        ? "nothing learned, " + word(refused.reason())
        : "nothing learned";
  }

  private double rate() {
    return ozone.ratedMilligramsPerHour();
  }

  /** After the gate has decided: what is fed from now on. */
  void follow(boolean first) {
    Lease was = turn.before.lease();
    Lease is = turn.lease;
    if (!learns() || (was == null) == (is == null)) {
      return;
    }
    double step = is != null ? rate() : -rate();
    List<DoseCourse> fed = new ArrayList<>();
    turn.teaching.courses().forEach(course -> fed.add(course.fed(turn.now, step)));
    long mono = turn.now.monoNanos();
    Dose begun = turn.teaching.begun();
    String disturbed = turn.teaching.disturbed();
    if (is != null) {
      Run run = Objects.requireNonNull(turn.memory.run());
      turn.teaching =
          new Teaching(
              List.copyOf(fed), new Dose(run.number(), mono, mono, first), null, disturbed);
    } else {
      turn.teaching =
          new Teaching(
              List.copyOf(fed),
              null,
              begun == null
                  ? null
                  : new Dose(begun.run(), begun.startedNanos(), mono, begun.first()),
              disturbed);
    }
  }
}
