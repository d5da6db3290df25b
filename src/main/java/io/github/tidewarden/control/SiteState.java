package io.github.tidewarden.control;

import java.util.Map;

/**
 * Everything known of the site between two events.
 *
 * @param memory what must survive of the site itself; its tanks' memories are those in {@code
 *     tanks}
 * @param tanks the state of each tank, by name
 * @param acts keeper's acts on their way to the disk, by ticket
 * @param lastTicket the last ticket given for an act; 0 before the first
 * @param acted acts taken on since {@code minuteNanos}
 * @param refusals requests refused since {@code minuteNanos}
 * @param minuteNanos since when they are counted, monotonic
 */
public record SiteState(
    SiteMemory memory,
    Map<String, TankState> tanks,
    Map<Long, PendingAct> acts,
    long lastTicket,
    int acted,
    int refusals,
    long minuteNanos) {

  /**
   * An act on its way to the disk.
   *
   * @param request whose it is
   * @param record what is being written
   */
  record PendingAct(long request, AuditRecord record) {}

  /** Whether the broker is reached. */
  public boolean linkUp() {
    return tanks.values().stream().anyMatch(TankState::linkUp);
  }

  /** The whole memory, as a checkpoint holds it. */
  public SiteMemory remembered() {
    Map<String, TankMemory> memories = new java.util.TreeMap<>(memory.tanks());
    tanks.forEach((name, tank) -> memories.put(name, tank.memory()));
    return new SiteMemory(
        memory.boot(), memory.lastSeen(), memory.requests(), memory.bins(), memories);
  }
}
