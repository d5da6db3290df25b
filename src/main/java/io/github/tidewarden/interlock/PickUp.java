package io.github.tidewarden.interlock;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Signal;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.function.IntFunction;
import java.util.stream.Collectors;
import java.util.stream.IntStream;

/**
 * Electrical pick-up: redox probes that answer the switching of the generator and not the ozone.
 * The water answers ozone only after its dead time, which is minutes; what every probe does within
 * seconds of ozone on, and undoes within seconds of ozone off, came through the leads. Volatile;
 * its latch survives as every latch does.
 *
 * <pre>
 * from       to         when
 * RESTING    WATCHING   ozone runs, and every probe was good in the last cycle at rest
 * RESTING    DONE       ozone runs, and a probe was not
 * WATCHING   SUSPECTED  every probe has moved the same way by {@link #JUMP_MILLIVOLTS}
 * WATCHING   DONE       {@link #WITHIN_OF_ON} is over, or a probe is not good
 * SUSPECTED  PROVED     the run has ended, and every probe has gone back by half of its jump
 * SUSPECTED  DONE       {@link #WITHIN_OF_OFF} is over, or a probe is not good
 * PROVED     RESTING    ozone does not run
 * DONE       RESTING    ozone does not run
 * </pre>
 *
 * A run that something else ends is watched on: the first of two probes that jump may end it by
 * itself, and the second one's reading is on its way.
 *
 * @param phase where it stands
 * @param onNanos the last cycle at rest, in which ozone was switched on, monotonic
 * @param ranNanos the last cycle in which ozone ran, in which it was switched off, monotonic
 * @param calm the probes at {@code onNanos}; empty when one was not good
 * @param jumped the probes when pick-up was suspected; empty before
 */
public record PickUp(
    Phase phase, long onNanos, long ranNanos, List<Signal> calm, List<Signal> jumped) {

  /** What it is called as a stop, a notice and a latch. */
  public static final String NAME = "pick-up";

  /**
   * What every probe must move by, mV. Ours, as the times are: well over the noise of a sound probe
   * and what ozone can do to the water in seconds.
   */
  public static final double JUMP_MILLIVOLTS = 20;

  /** A jump that comes later after the switching on is none. */
  public static final Duration WITHIN_OF_ON = Duration.ofSeconds(3);

  /**
   * A return that comes later after the switching off proves nothing. Longer than the other, since
   * the device has to hear of it first.
   */
  public static final Duration WITHIN_OF_OFF = Duration.ofSeconds(5);

  /** What it is about. */
  public enum Phase {
    /** Ozone does not run; what the probes say is remembered. */
    RESTING,
    /** Ozone was switched on a moment ago. */
    WATCHING,
    /** Every probe has jumped; ozone may not run. */
    SUSPECTED,
    /** Every probe has gone back: that was pick-up. */
    PROVED,
    /** This run has been watched for long enough, or cannot be. */
    DONE
  }

  static final PickUp QUIET = new PickUp(Phase.RESTING, 0, 0, List.of(), List.of());

  /**
   * One cycle on.
   *
   * @param probes every redox probe that ozone needs, always in the same order; empty when one is
   *     not there
   * @param running whether ozone runs, or ran until this cycle
   */
  PickUp next(List<Signal> probes, boolean running, Moment now) {
    boolean good = good(probes);
    PickUp is = running ? new PickUp(phase, onNanos, now.monoNanos(), calm, jumped) : this;
    return switch (phase) {
      case RESTING -> {
        if (!running) {
          yield resting(good, probes, now);
        }
        yield calm.isEmpty() ? is.to(Phase.DONE) : is.to(Phase.WATCHING).watch(good, probes, now);
      }
      case WATCHING -> is.watch(good, probes, now);
      case SUSPECTED -> is.judge(good, running, probes, now);
      case PROVED, DONE -> running ? is : resting(good, probes, now);
    };
  }

  private static PickUp resting(boolean good, List<Signal> probes, Moment now) {
    return new PickUp(
        Phase.RESTING, now.monoNanos(), now.monoNanos(), good ? probes : List.of(), List.of());
  }

  private PickUp watch(boolean good, List<Signal> probes, Moment now) {
    if (!good || now.since(onNanos) > WITHIN_OF_ON.toNanos()) {
      return to(Phase.DONE);
    }
    return allJumped(probes) ? new PickUp(Phase.SUSPECTED, onNanos, ranNanos, calm, probes) : this;
  }

  private PickUp judge(boolean good, boolean running, List<Signal> probes, Moment now) {
    if (!good || now.since(ranNanos) > WITHIN_OF_OFF.toNanos()) {
      return to(Phase.DONE);
    }
    return !running && allWentBack(probes) ? to(Phase.PROVED) : this;
  }

  private PickUp to(Phase next) {
    return new PickUp(next, onNanos, ranNanos, calm, jumped);
  }

  private boolean allJumped(List<Signal> probes) {
    double way = Math.signum(probes.get(0).value() - calm.get(0).value());
    return IntStream.range(0, probes.size())
        .allMatch(i -> way * (probes.get(i).value() - calm.get(i).value()) >= JUMP_MILLIVOLTS);
  }

  private boolean allWentBack(List<Signal> probes) {
    return IntStream.range(0, probes.size())
        .allMatch(
            i -> {
              double jump = jumped.get(i).value() - calm.get(i).value();
              double back = jumped.get(i).value() - probes.get(i).value();
              return Math.signum(jump) * back >= Math.abs(jump) / 2;
            });
  }

  /** Why ozone may not run for its sake; none unless it is suspected. */
  Optional<Stop> stop() {
    return phase == Phase.SUSPECTED
        ? Optional.of(
            new Stop(TankFunction.OZONE, NAME, jump() + ": electrical pick-up is suspected", false))
        : Optional.empty();
  }

  /**
   * What a suspicion came to, in the cycle in which it ends.
   *
   * @param before the state of the last cycle
   * @param probes as handed to {@link #next}
   */
  Optional<Event> event(PickUp before, List<Signal> probes) {
    if (before.phase != Phase.SUSPECTED) {
      return Optional.empty();
    }
    return switch (phase) {
      case PROVED -> Optional.of(new Event(Event.Type.LATCHED, NAME, verdict(probes), true, ""));
      case DONE -> Optional.of(new Event(Event.Type.NOTICE, NAME, unproved(probes), false, ""));
      case RESTING, WATCHING, SUSPECTED -> Optional.empty();
    };
  }

  private String unproved(List<Signal> probes) {
    return jump()
        + (good(probes)
            ? ", not back within " + WITHIN_OF_OFF.toSeconds() + " s of ozone off"
            : ", and a probe was lost before they could go back")
        + ": ozone was stopped; that it is electrical pick-up is not proved";
  }

  private String verdict(List<Signal> probes) {
    return told(i -> move(i) + " and back to " + value(probes.get(i)))
        + " within seconds of ozone on and off: the probes pick up the generator electrically; keep"
        + " their leads away from its mains lead, earth the water, check the probes";
  }

  private String jump() {
    return told(this::move) + " within " + WITHIN_OF_ON.toSeconds() + " s of ozone on";
  }

  private String told(IntFunction<String> probe) {
    return IntStream.range(0, calm.size()).mapToObj(probe).collect(Collectors.joining(", "));
  }

  private String move(int probe) {
    Signal from = calm.get(probe);
    return from.name() + " " + value(from) + " to " + value(jumped.get(probe));
  }

  private static String value(Signal probe) {
    return probe.measure().told(probe.value());
  }

  private static boolean good(List<Signal> probes) {
    return !probes.isEmpty() && probes.stream().allMatch(Signal::good);
  }
}
