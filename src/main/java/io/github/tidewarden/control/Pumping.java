package io.github.tidewarden.control;

import io.github.tidewarden.gate.Gate;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.interlock.Device;
import io.github.tidewarden.quantity.Moment;
import org.jspecify.annotations.Nullable;

/**
 * What one pump has done for the present portion in this run of the program.
 *
 * @param lease its live run; null at rest
 * @param grantNanos what that run may take in all
 * @param ended its last run, until that is over for certain; null for none
 * @param usedNanos how long runs that are over can have been at most
 * @param ranNanos how long the pump ran in all as far as is known, for what it really moves
 */
record Pumping(
    @Nullable Lease lease, long grantNanos, @Nullable Lease ended, long usedNanos, long ranNanos) {

  static final Pumping NONE = new Pumping(null, 0, null, 0, 0);

  /** Whether it is at rest for certain. */
  boolean atRest() {
    return lease == null && ended == null;
  }

  /** How long it can have run at most until now. */
  long usedNanos(Moment now) {
    Lease live = lease != null ? lease : ended;
    return usedNanos + (live == null ? 0 : live.mostNanos(now.monoNanos()));
  }

  /** How long its present run can have lasted at most; 0 at rest. */
  long runNanos(Moment now) {
    Lease live = lease != null ? lease : ended;
    return live == null ? 0 : live.mostNanos(now.monoNanos());
  }

  /**
   * After a decision of the gate.
   *
   * @param linkUp whether it reaches the pump; else that runs on until its last lease is over
   */
  Pumping decided(Gate.Decision decision, long grant, Moment now, boolean linkUp) {
    Lease was = lease;
    Lease is = decision.lease();
    if (was == null) {
      return is == null ? this : new Pumping(is, grant, ended, usedNanos, ranNanos);
    }
    if (is != null) {
      return new Pumping(is, grantNanos, ended, usedNanos, ranNanos);
    }
    long ran = was.lastedNanos(linkUp ? now.monoNanos() : was.outNanos());
    return new Pumping(null, 0, was, usedNanos, ranNanos + ran);
  }

  /** Once the last run is over for certain, by the device's own report or by its bound. */
  Pumping settled(Device device, Moment now) {
    Lease last = ended;
    if (last == null) {
      return this;
    }
    Long confirmed = device.restConfirmedNanos();
    if (confirmed == null && now.since(last.boundNanos()) < 0) {
      return this;
    }
    long most = last.mostNanos(confirmed == null ? last.boundNanos() : confirmed);
    return new Pumping(lease, grantNanos, null, usedNanos + most, ranNanos);
  }
}
