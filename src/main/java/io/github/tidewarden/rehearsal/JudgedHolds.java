package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.util.HashMap;
import java.util.Map;

/** What a keeper holds at rest, by the records on the disk; no start ends it. */
final class JudgedHolds {
  private static final String TANK = "tank";

  /** Until when each is held at least, by its name, monotonic. */
  private final Map<String, Long> held = new HashMap<>();

  /** A keeper's act is on the disk; a release may mean any hold of its name. */
  void durable(AuditRecord record, Moment now) {
    String name = String.valueOf(record.fields().get("name"));
    Object act = record.fields().get("act");
    if ("hold".equals(act)) {
      Instant end = Instant.parse(String.valueOf(record.fields().get("end")));
      long until = now.monoNanos() + Duration.between(record.at(), end).toNanos();
      held.merge(name, until, Math::max);
    } else if ("release".equals(act)) {
      held.remove(name);
    }
  }

  /** Whether a function is held: by its own name, or with the whole tank but for top-off. */
  boolean holds(TankFunction function, Moment now) {
    return stands(function.word(), now) || (function != TankFunction.TOP_OFF && stands(TANK, now));
  }

  private boolean stands(String name, Moment now) {
    Long until = held.get(name);
    return until != null && now.monoNanos() - until < 0;
  }
}
