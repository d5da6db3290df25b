package io.github.tidewarden.dosing;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.time.DayOfWeek;
import java.time.Instant;
import java.time.LocalTime;
import java.util.EnumSet;
import java.util.List;
import java.util.concurrent.TimeUnit;

/** The rule of an invented tank: band 340 to 365 mV, shortest on 5 min, shortest off 10 min. */
final class DosingBench {
  static final long SECOND = TimeUnit.SECONDS.toNanos(1);
  static final long MINUTE = TimeUnit.MINUTES.toNanos(1);
  static final long SHORTEST_ON = 5 * MINUTE;
  static final long SHORTEST_OFF = 10 * MINUTE;
  static final double START_BELOW = 340;
  static final double STOP_ABOVE = 365;

  final OzoneDosing rule = new OzoneDosing(spec(START_BELOW, STOP_ABOVE, 400));
  long mono;
  OzoneDosing.State state;
  boolean windowOpen = true;
  boolean running;
  Outlook outlook = Outlook.NONE;

  /** Boots at a moment of an arbitrary monotonic clock. */
  DosingBench(long bootNanos) {
    mono = bootNanos;
    state = rule.atBoot(now());
  }

  static OzoneSpec spec(double startBelow, double stopAbove, double ceiling) {
    return spec(startBelow, stopAbove, ceiling, SHORTEST_ON, SHORTEST_OFF);
  }

  static OzoneSpec spec(
      double startBelow, double stopAbove, double ceiling, long shortestOn, long shortestOff) {
    return new OzoneSpec(
        "generator",
        50,
        List.of(
            new WindowSpec(
                LocalTime.of(1, 30), LocalTime.of(3, 0), EnumSet.allOf(DayOfWeek.class))),
        60 * MINUTE,
        List.of("redox-a", "redox-b"),
        "Ag/AgCl 3 M KCl",
        startBelow,
        stopAbove,
        ceiling,
        shortestOn,
        shortestOff,
        5 * MINUTE,
        ProbeAge.NOT_REQUIRED,
        0);
  }

  Moment now() {
    return new Moment(Instant.parse("2026-01-15T01:30:00Z"), mono, true);
  }

  /** One cycle; the generator then runs if and only if it is wanted. */
  OzoneDosing.Proposal obeyed(double... millivolts) {
    OzoneDosing.Proposal proposal = proposed(millivolts);
    running = proposal.run();
    return proposal;
  }

  /** One cycle; the generator goes on as it was. */
  OzoneDosing.Proposal proposed(double... millivolts) {
    Signal[] probes = new Signal[millivolts.length];
    for (int i = 0; i < probes.length; i++) {
      probes[i] = probe("redox-" + (char) ('a' + i), millivolts[i], Quality.GOOD);
    }
    return proposed(List.of(probes));
  }

  OzoneDosing.Proposal proposed(List<Signal> probes) {
    OzoneDosing.Proposal proposal =
        rule.propose(state, now(), windowOpen, running, probes, outlook);
    state = proposal.state();
    return proposal;
  }

  /** The rest after boot passes, and it doses. */
  DosingBench dosing() {
    mono += SHORTEST_OFF;
    obeyed(320, 323);
    mono += SECOND;
    obeyed(320, 323);
    return this;
  }

  static Signal probe(String name, double millivolts, Quality quality) {
    return new Signal(
        name,
        Measure.REDOX,
        millivolts,
        quality,
        quality == Quality.GOOD ? "" : "silent for 60 s",
        SECOND,
        true,
        1);
  }
}
