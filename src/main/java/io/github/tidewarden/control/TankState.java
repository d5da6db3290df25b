package io.github.tidewarden.control;

import io.github.tidewarden.dosing.OzoneDosing;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.interlock.Device;
import io.github.tidewarden.interlock.Interlocks;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.sensing.Sensor;
import io.github.tidewarden.sensing.Settling;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * Everything known of one tank between two events. The memory survives a crash; all else starts
 * empty and closed at every start.
 *
 * @param memory what must survive
 * @param boot in which the daemon runs
 * @param sensors what was heard of each sensor, by name
 * @param settling the last minutes of each redox probe that ozone goes by, in their order
 * @param teaching what is being learned of it
 * @param devices what is known of each actuator, by name
 * @param interlocks where the interlocks stand
 * @param dosing what the dosing rule is about; null for a tank without ozone
 * @param lease the live run of the generator; null at rest
 * @param ended the lease of the run whose account is still open; null for none
 * @param pending the reservation that is on its way to the disk; null for none
 * @param lastTicket the last ticket given; 0 before the first
 * @param linkUp whether the broker is reached
 * @param settledNanos readings before this may be old ones that were held up on their way,
 *     monotonic
 * @param retryNanos no reservation is tried before this, monotonic
 * @param plan the windows of the present night; null before the first cycle
 * @param watchedUntil trusted time until which the windows were watched over; one that ended later
 *     and has no record was missed; null when never
 * @param faulted whether a step of this tank failed, so that it only rests
 * @param water where the exchange stands
 * @param skimmer air and redox of the skimmer lately
 * @param story what is being told of the present window, run and signals
 * @param wakeNanos when it wants to be asked again at the latest, monotonic; one tank's readings
 *     never put off another
 */
record TankState(
    TankMemory memory,
    String boot,
    Map<String, Sensor> sensors,
    List<Settling> settling,
    Teaching teaching,
    Map<String, Device> devices,
    Interlocks.State interlocks,
    OzoneDosing.@Nullable State dosing,
    @Nullable Lease lease,
    @Nullable Lease ended,
    @Nullable Pending pending,
    long lastTicket,
    boolean linkUp,
    long settledNanos,
    long retryNanos,
    @Nullable NightPlan plan,
    @Nullable Instant watchedUntil,
    boolean faulted,
    WaterState water,
    SkimmerState skimmer,
    Story story,
    long wakeNanos) {

  /**
   * A reservation on its way to the disk.
   *
   * @param ticket under which its sync is awaited
   * @param record what is being written
   * @param after the memory once it is there: what is written behind it comes after it then
   */
  record Pending(long ticket, AuditRecord record, TankMemory after) {

    /** The same with another record behind it. */
    Pending followedBy(AuditRecord next, String boot) {
      return new Pending(ticket, record, after.apply(next, boot));
    }
  }

  /** The same after a record of a keeper's act. */
  TankState acted(AuditRecord act) {
    Pending waiting = pending;
    return new TankState(
        memory.apply(act, boot),
        boot,
        sensors,
        settling,
        teaching,
        devices,
        interlocks,
        dosing,
        lease,
        ended,
        waiting == null ? null : waiting.followedBy(act, boot),
        lastTicket,
        linkUp,
        settledNanos,
        retryNanos,
        plan,
        watchedUntil,
        faulted,
        water,
        skimmer,
        story,
        wakeNanos);
  }

  /** The same, going on from an earlier life of this tank in the same process. */
  TankState reconnected(boolean up, long ticket) {
    return continued(up, ticket, false, water, wakeNanos);
  }

  /** The same, going on from an earlier life of this tank that failed. */
  TankState failed(boolean up, long ticket, long nextWakeNanos) {
    return continued(up, ticket, true, water.failed(), nextWakeNanos);
  }

  private TankState continued(
      boolean up, long ticket, boolean failed, WaterState nextWater, long nextWakeNanos) {
    return new TankState(
        memory,
        boot,
        sensors,
        settling,
        teaching,
        devices,
        interlocks,
        dosing,
        lease,
        ended,
        pending,
        ticket,
        up,
        settledNanos,
        retryNanos,
        plan,
        watchedUntil,
        failed,
        nextWater,
        skimmer,
        story,
        nextWakeNanos);
  }
}
