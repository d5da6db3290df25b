package io.github.tidewarden.gate;

/**
 * A live run of one actuator.
 *
 * @param startedNanos when its first command was made, monotonic
 * @param sentNanos when its last command was made, monotonic
 * @param seconds for how long the last command lets the device run
 * @param boundNanos when the device is at rest whatever happens: the last command may be delivered
 *     as late as its expiry and runs from there; monotonic
 */
public record Lease(long startedNanos, long sentNanos, int seconds, long boundNanos) {

  private static final long SECOND = 1_000_000_000L;

  /** Message expiry for a lease: a third of it in whole seconds, at least 1. */
  static int expirySeconds(int leaseSeconds) {
    return Math.max(1, leaseSeconds / 3);
  }

  /** The longest lease, at most {@code most}, that is over within {@code leftNanos} for certain. */
  static int longest(int most, long leftNanos) {
    long left = Math.floorDiv(leftNanos, SECOND);
    int seconds = (int) Math.max(0, Math.min(most, left));
    while (seconds > 0 && boundSeconds(seconds) > left) {
      seconds--;
    }
    return seconds;
  }

  /** After how many seconds a device given this lease is at rest for certain. */
  public static int boundSeconds(int leaseSeconds) {
    return leaseSeconds + expirySeconds(leaseSeconds);
  }

  static Lease first(long nowNanos, int seconds) {
    return new Lease(nowNanos, nowNanos, seconds, bound(nowNanos, seconds));
  }

  /** Renewed; a shorter lease does not shorten what an earlier command may still do. */
  Lease renewed(long nowNanos, int newSeconds) {
    long onNanos = Math.max(0, bound(nowNanos, newSeconds) - boundNanos);
    return new Lease(startedNanos, nowNanos, newSeconds, boundNanos + onNanos);
  }

  /** When a device that got the last command at once drops out, monotonic nanoseconds. */
  public long outNanos() {
    return sentNanos + seconds * SECOND;
  }

  /**
   * How long it has lasted until now as far as is known, ns: the device drops out when it is not
   * told to run again, whatever kept the program from that.
   */
  public long lastedNanos(long nowNanos) {
    return earlier(nowNanos, outNanos()) - startedNanos;
  }

  /** How long it can have lasted at most until now, ns. */
  public long mostNanos(long nowNanos) {
    return earlier(nowNanos, boundNanos) - startedNanos;
  }

  /** Whether the device may have dropped out; a clock that ran backwards counts as too late. */
  boolean ranOut(long nowNanos) {
    long age = nowNanos - sentNanos;
    return age < 0 || age >= seconds * SECOND;
  }

  /** Whether from its start until the device is at rest for certain it takes no more than that. */
  boolean within(long grantNanos) {
    return boundNanos - startedNanos <= grantNanos;
  }

  /** Whether a third of the lease has passed, so that it is time to renew it. */
  boolean due(long nowNanos) {
    return nowNanos - sentNanos >= seconds * SECOND / 3;
  }

  /** Whether a new lease given now would let the device run longer than the last one does. */
  boolean extendedBy(long nowNanos, int newSeconds) {
    return nowNanos + newSeconds * SECOND - outNanos() >= SECOND;
  }

  /** The earlier of two monotonic times, which may be on either side of the largest number. */
  private static long earlier(long one, long other) {
    return one - other < 0 ? one : other;
  }

  private static long bound(long nowNanos, int seconds) {
    return nowNanos + boundSeconds(seconds) * SECOND;
  }
}
