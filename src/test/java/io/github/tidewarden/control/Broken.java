package io.github.tidewarden.control;

import java.util.Map;
import java.util.TreeMap;

/** A state in which the next step of one tank throws. */
final class Broken {
  private Broken() {}

  static SiteState of(SiteState state, String tank) {
    TankState was = state.tanks().get(tank);
    Map<String, TankState> tanks = new TreeMap<>(state.tanks());
    tanks.put(
        tank,
        new TankState(
            was.memory(),
            was.boot(),
            null,
            was.settling(),
            was.teaching(),
            was.devices(),
            was.interlocks(),
            was.dosing(),
            was.lease(),
            was.ended(),
            was.pending(),
            was.lastTicket(),
            was.linkUp(),
            was.settledNanos(),
            was.retryNanos(),
            was.plan(),
            was.watchedUntil(),
            was.faulted(),
            was.water(),
            was.skimmer(),
            was.story(),
            was.wakeNanos()));
    return new SiteState(
        state.memory(),
        tanks,
        state.acts(),
        state.lastTicket(),
        state.acted(),
        state.refusals(),
        state.minuteNanos());
  }
}
