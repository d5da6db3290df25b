package io.github.tidewarden.rehearsal;

import io.github.tidewarden.gate.ActuatorSpec;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.EnumSet;
import java.util.List;
import java.util.OptionalLong;
import java.util.Set;
import java.util.concurrent.TimeUnit;

/**
 * A generator or pump as the daemon demands it: it wakes at rest, runs only as long as the last
 * message said and never longer than its own drop-out time, and then goes to rest by itself. What
 * is wrong with a bad one can be switched on. Pure: time is handed in, and never goes back.
 *
 * <table>
 * <caption>Transitions of a sound device</caption>
 * <tr><th>state</th><th>event</th><th>next</th></tr>
 * <tr><td>rest</td><td>run message</td><td>running until its lease ends</td></tr>
 * <tr><td>running</td><td>run message</td><td>running until the new lease ends</td></tr>
 * <tr><td>running</td><td>rest message, lease ends, power lost</td><td>rest</td></tr>
 * <tr><td>any</td><td>power given, message not understood</td><td>unchanged</td></tr>
 * </table>
 */
public final class SimulatedDevice {

  /** What can be wrong with a device. */
  public enum Fault {
    /** Its contact, once closed, stays closed: no message and no drop-out opens it. */
    WELDED,
    /** It does not hear that it should run; what runs drops out. */
    DEAF,
    /** It runs as soon as it gets power, without a lease, until it is told to rest. */
    WAKES_ON,
    /** It does what it is told and reports nothing. */
    MUTE,
    /** It has no power, whatever happens. */
    DEAD
  }

  /** A true change: from this monotonic time on it was on, or off. */
  public record Switch(long monoNanos, boolean on) {}

  /** Most changes that the log keeps; the oldest go first. */
  public static final int MAX_SWITCHES = 100_000;

  private static final int MAX_LEASE_DIGITS = 6;

  private final ActuatorSpec spec;
  private final String before;
  private final String after;
  private final Set<Fault> faults = EnumSet.noneOf(Fault.class);
  private final Set<Fault> lasting = EnumSet.noneOf(Fault.class);
  private final Deque<Switch> switches = new ArrayDeque<>();
  private boolean powered = true;
  private boolean closed;
  private boolean leased;
  private long leaseEndNanos;
  private long nowNanos;
  private long onNanos;
  private long notUnderstood;

  /**
   * A sound device, powered and at rest.
   *
   * @param spec how it is spoken to and when it drops out
   * @param startNanos monotonic time now
   */
  public SimulatedDevice(ActuatorSpec spec, long startNanos) {
    this.spec = spec;
    this.nowNanos = startNanos;
    int lease = spec.runTemplate().indexOf(ActuatorSpec.SECONDS);
    before = lease < 0 ? spec.runTemplate() : spec.runTemplate().substring(0, lease);
    after = lease < 0 ? "" : spec.runTemplate().substring(lease + ActuatorSpec.SECONDS.length());
  }

  /** How it is spoken to. */
  public ActuatorSpec spec() {
    return spec;
  }

  /** Switches a fault on or off. */
  public void fault(Fault fault, boolean present) {
    if (present) {
      faults.add(fault);
    } else {
      faults.remove(fault);
    }
  }

  /** Gives it a fault that stays, whatever is switched off later. */
  void lasting(Fault fault) {
    lasting.add(fault);
  }

  /** Whether it has this fault. */
  public boolean has(Fault fault) {
    return faults.contains(fault) || lasting.contains(fault);
  }

  /**
   * A message arrives on the set-topic. Without power, or when it does not understand the message,
   * it does nothing.
   *
   * @return whether it heard and understood
   */
  public boolean hear(String payload, long monoNanos) {
    advanceTo(monoNanos);
    if (!powered()) {
      return false;
    }
    if (payload.equals(spec.restPayload())) {
      rest();
      return true;
    }
    int seconds = leaseSeconds(payload);
    if (seconds < 0) {
      notUnderstood++;
      return false;
    }
    if (seconds == 0) {
      rest();
      return true;
    }
    if (has(Fault.DEAF)) {
      return true;
    }
    leased = true;
    leaseEndNanos = nowNanos + TimeUnit.SECONDS.toNanos(Math.min(seconds, spec.dropOutSeconds()));
    contact(true);
    return true;
  }

  /** Gives it power or takes it away. */
  public void power(boolean given, long monoNanos) {
    advanceTo(monoNanos);
    if (powered == given) {
      return;
    }
    boolean was = on();
    powered = given;
    leased = false;
    closed = (closed && has(Fault.WELDED)) || (given && has(Fault.WAKES_ON));
    log(was);
  }

  /** Goes on to this monotonic time, dropping out exactly when the lease ends. */
  public void advanceTo(long monoNanos) {
    if (leased && leaseEndNanos - monoNanos <= 0) {
      count(leaseEndNanos);
      rest();
    }
    count(monoNanos);
  }

  private void count(long monoNanos) {
    long elapsedNanos = monoNanos - nowNanos;
    if (elapsedNanos > 0) {
      onNanos += on() ? elapsedNanos : 0;
      nowNanos = monoNanos;
    }
  }

  private void rest() {
    leased = false;
    if (!has(Fault.WELDED)) {
      contact(false);
    }
  }

  private void contact(boolean close) {
    boolean was = on();
    closed = close;
    log(was);
  }

  private void log(boolean was) {
    if (was != on()) {
      if (switches.size() == MAX_SWITCHES) {
        switches.remove();
      }
      switches.add(new Switch(nowNanos, on()));
    }
  }

  /** The lease in seconds that a run message carries; -1 when it is none. */
  private int leaseSeconds(String payload) {
    if (!spec.carriesLease()) {
      return payload.equals(before) ? spec.dropOutSeconds() : -1;
    }
    int digits = payload.length() - before.length() - after.length();
    if (digits < 1
        || digits > MAX_LEASE_DIGITS
        || !payload.startsWith(before)
        || !payload.endsWith(after)) {
      return -1;
    }
    String lease = payload.substring(before.length(), before.length() + digits);
    boolean whole = lease.chars().allMatch(c -> c >= '0' && c <= '9');
    return whole ? Integer.parseInt(lease) : -1;
  }

  /** Whether it truly runs. */
  public boolean on() {
    return powered() && closed;
  }

  /** Whether it has power. */
  public boolean powered() {
    return powered && !has(Fault.DEAD);
  }

  /** When it will drop out by itself, monotonic; empty when nothing is leased. */
  public OptionalLong leaseEndNanos() {
    return leased ? OptionalLong.of(leaseEndNanos) : OptionalLong.empty();
  }

  /** Every true change so far, oldest first, at most {@link #MAX_SWITCHES}. */
  public List<Switch> switches() {
    return List.copyOf(switches);
  }

  /** How long it truly ran in all, up to the time last advanced to, ns. */
  public long onNanos() {
    return onNanos;
  }

  /** How many messages it did not understand. */
  public long notUnderstood() {
    return notUnderstood;
  }
}
