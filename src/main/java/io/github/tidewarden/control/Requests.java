package io.github.tidewarden.control;

import org.jspecify.annotations.Nullable;

/** Keepers' requests, as whoever sends one may look at it before. */
public final class Requests {
  private Requests() {}

  /**
   * Why a site can never do what is asked for, whatever state it is in.
   *
   * @param request a request as it goes over the broker
   * @return the reason in the keeper's words; null when only the daemon can judge it
   */
  public static @Nullable String flaw(SiteSpec site, byte[] request) {
    KeeperAct act = KeeperAct.read(request);
    if (act == null) {
      return "it is not one JSON object within bounds";
    }
    if (site.tanks().stream().noneMatch(tank -> tank.name().equals(act.tank()))) {
      return noTank(act.tank());
    }
    try {
      Deed.read(act);
      return null;
    } catch (Deed.RefusedException e) {
      return e.why();
    }
  }

  static String noTank(String name) {
    return "there is no tank \"" + name + "\"";
  }
}
