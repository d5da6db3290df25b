package io.github.tidewarden.config;

import io.github.tidewarden.interlock.TankFunction;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Set;

/** Reads {@code without} of a tank, and sees that each guard is either there or named in it. */
final class WithoutReader {
  private static final int MAX_REASON = 200;

  private final Section tank;
  private final Set<Guard> there;
  private final Set<Guard> passedOver;

  /**
   * Prepares.
   *
   * @param there the guards that the tank has
   * @param passedOver those of which nothing is said here: a complaint of their own says more
   */
  WithoutReader(Section tank, Set<Guard> there, Set<Guard> passedOver) {
    this.tank = tank;
    this.there = there;
    this.passedOver = passedOver;
  }

  /**
   * The reasons by the key of their guard.
   *
   * @param inDoubt whether it could not be told what some sensor measures, so that no guard can be
   *     said to be missing
   */
  Map<String, String> read(boolean inDoubt) {
    Map<String, String> without = new LinkedHashMap<>();
    Section declared = tank.optionalSection("without");
    if (declared != null) {
      for (Value entry : declared.entries()) {
        readReason(declared, entry, without);
      }
    }
    if (!inDoubt) {
      complainAboutMissing(without);
    }
    return without;
  }

  private void complainAboutMissing(Map<String, String> without) {
    for (TankFunction function : TankFunction.values()) {
      for (Guard guard : Guard.values()) {
        if (tank.has(function.word())
            && guard.guards(function)
            && !there.contains(guard)
            && !passedOver.contains(guard)
            && !without.containsKey(guard.key())) {
          tank.complain(
              tank.keyPlace(function.word()),
              "`" + function.word() + "` needs " + guard.provider() + ", and the tank has none",
              "declare it, or say why not under `without: { " + guard.key() + ": ... }`");
        }
      }
    }
  }

  private void readReason(Section declared, Value entry, Map<String, String> without) {
    Guard guard = Guard.of(entry.name());
    if (guard == null) {
      declared.complain(
          entry.namePlace(),
          "`" + entry.name() + "` is not a guard",
          Nearest.remedy(entry.name(), Guard.keys()));
      Nearest.to(entry.name(), Guard.keys()).ifPresent(meant -> without.put(meant, ""));
      return;
    }
    String reason = entry.text();
    without.put(guard.key(), reason == null ? "" : reason);
    if (reason != null && reason.length() > MAX_REASON) {
      entry.complain("the reason is too long", "at most " + MAX_REASON + " characters");
    }
    if (there.contains(guard) && !passedOver.contains(guard)) {
      declared.complain(
          entry.namePlace(),
          "`without` names `" + guard.key() + "`, but the tank has it",
          "take it out");
    }
  }
}
