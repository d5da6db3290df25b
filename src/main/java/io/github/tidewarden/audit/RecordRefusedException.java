package io.github.tidewarden.audit;

/** A record that the format cannot hold, or that the fold cannot apply: a fault of its maker. */
public final class RecordRefusedException extends IllegalArgumentException {

  RecordRefusedException(String why) {
    super(why);
  }

  RecordRefusedException(String why, Throwable cause) {
    super(why, cause);
  }
}
