package io.github.tidewarden.mqtt;

import java.util.UUID;

/**
 * As whom a daemon connects.
 *
 * @param mark what tells this run of the daemon from every other; the echo carries it
 * @param leftItsMark whether the broker has held this mark before; before that, the mark of an
 *     earlier run is to be expected there
 * @param leaving whether the daemon has been taken over: then it has a client id of its own, so as
 *     not to drive out its successor, no last will and no retained echo, and sends nothing but rest
 */
record Identity(String mark, boolean leftItsMark, boolean leaving) {

  /** Of a daemon that has just started. */
  static Identity fresh() {
    return new Identity(randomMark(), false, false);
  }

  /** After its echo has come back. */
  Identity heard() {
    return leaving || leftItsMark ? this : new Identity(mark, true, false);
  }

  /** After it has been taken over. */
  Identity takenOver() {
    return new Identity(randomMark(), false, true);
  }

  String clientId(String usual) {
    return leaving ? usual + "-leaving-" + mark : usual;
  }

  private static String randomMark() {
    return UUID.randomUUID().toString();
  }
}
