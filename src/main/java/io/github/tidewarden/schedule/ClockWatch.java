package io.github.tidewarden.schedule;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import org.jspecify.annotations.Nullable;

/**
 * Whether the wall clock may be trusted. An immutable state; {@link #observe} gives the next one.
 *
 * <pre>
 * state    | drift over 2 s       | proof              | neither
 * ---------+----------------------+--------------------+---------
 * UNPROVEN | STEPPED, says so     | TRUSTED, says so   | UNPROVEN
 * TRUSTED  | STEPPED, says so     | -                  | TRUSTED
 * STEPPED  | STEPPED, says so     | TRUSTED, says so   | STEPPED
 * </pre>
 *
 * <p>Drift is that of the wall clock against the monotonic one since the anchor: the first sample,
 * the last step or the last gain of trust, whichever came last. Slow drift therefore adds up, and
 * is called a step once. A suspend, which the monotonic clock does not count, is a step forward. A
 * step goes before proof, so the cycle that notices it is never trusted.
 *
 * <p>Proof, {@link ClockSource#SYNCHRONISED}: a marker made in this boot, not in the future, and
 * after the last step ({@link MarkerProof}). A marker that was known before a step back, or that
 * lay in the future at the start, never counts, also not when time has passed it.
 *
 * <p>Proof, {@link ClockSource#BATTERY_BACKED}: the first sample, or 60 s without a step.
 *
 * <p>No proof counts while the clock reads a time before {@link #EARLIEST_PLAUSIBLE}, as one does
 * that has lost its battery.
 */
public final class ClockWatch {

  /** More drift than this is a step. */
  public static final Duration MOST_DRIFT = Duration.ofSeconds(2);

  /** How long a battery-backed clock has to be steady after a step. */
  public static final Duration STEADY = Duration.ofSeconds(60);

  /** A clock that reads less has been reset; this software is younger. */
  public static final Instant EARLIEST_PLAUSIBLE = Instant.parse("2020-01-01T00:00:00Z");

  /** How far the wall clock is believed. */
  public enum Trust {
    /** Nothing has shown yet that it is right. */
    UNPROVEN,
    /** It has been shown to be right and has not stepped since. */
    TRUSTED,
    /** It has stepped and has not been shown to be right since. */
    STEPPED
  }

  /**
   * One cycle's result.
   *
   * @param watch the state for the next cycle
   * @param now the time for this cycle, trusted or not
   * @param event what is to be recorded, or null
   */
  public record Observation(ClockWatch watch, Moment now, @Nullable ClockEvent event) {}

  private final ClockSource source;
  private final Trust trust;
  private final ClockSample anchor;
  private final ClockSample previous;
  private final MarkerProof proof;

  private ClockWatch(
      ClockSource source,
      Trust trust,
      ClockSample anchor,
      ClockSample previous,
      MarkerProof proof) {
    this.source = source;
    this.trust = trust;
    this.anchor = anchor;
    this.previous = previous;
    this.proof = proof;
  }

  /** Begins with the first sample of a process. */
  public static Observation start(ClockSource source, ClockSample first) {
    return new ClockWatch(source, Trust.UNPROVEN, first, first, MarkerProof.atStart(first))
        .observe(first);
  }

  /** Looks at the clocks once a cycle. Samples come in the order of their monotonic time. */
  public Observation observe(ClockSample sample) {
    Duration drift = sample.driftSince(anchor);
    if (drift.abs().compareTo(MOST_DRIFT) > 0) {
      return moved(
          Trust.STEPPED,
          sample,
          proof.afterStep(previous, sample),
          new ClockEvent(ClockEvent.Kind.STEPPED, drift.toMillis()));
    }
    if (trust != Trust.TRUSTED && isProven(sample)) {
      return moved(
          Trust.TRUSTED, sample, proof.seen(sample), new ClockEvent(ClockEvent.Kind.GAINED, 0));
    }
    return new Observation(
        new ClockWatch(source, trust, anchor, sample, proof.seen(sample)),
        sample.moment(trusted()),
        null);
  }

  /** How far the wall clock is believed. */
  public Trust trust() {
    return trust;
  }

  /** Whether the wall clock is trusted. */
  public boolean trusted() {
    return trust == Trust.TRUSTED;
  }

  private Observation moved(Trust to, ClockSample at, MarkerProof nextProof, ClockEvent event) {
    ClockWatch next = new ClockWatch(source, to, at, at, nextProof);
    return new Observation(next, at.moment(next.trusted()), event);
  }

  private boolean isProven(ClockSample sample) {
    if (sample.wall().isBefore(EARLIEST_PLAUSIBLE)) {
      return false;
    }
    if (source == ClockSource.SYNCHRONISED) {
      return proof.isGivenBy(sample);
    }
    return trust == Trust.UNPROVEN || sample.since(anchor).compareTo(STEADY) >= 0;
  }
}
