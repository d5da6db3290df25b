package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.math.BigDecimal;
import java.time.Instant;
import java.time.LocalDate;
import java.util.LinkedHashMap;
import java.util.Map;

/** Records and a toy state for the tests of this package. */
final class Samples {

  static final LocalDate NIGHT = LocalDate.of(2026, 6, 1);
  private static final Instant EVENING = Instant.parse("2026-06-01T22:30:00.000Z");

  /** Minutes reserved by tank, and how many trips stand: changes with every record. */
  static final Fold<Map<String, Object>> TOY =
      new Fold<>() {
        @Override
        public Map<String, Object> apply(Map<String, Object> state, AuditRecord record) {
          if (record.why().equals("poison")) {
            throw new IllegalStateException("poison");
          }
          Map<String, Object> next = new LinkedHashMap<>(state);
          String what = record.kind().word() + "/" + record.tank();
          long before = (Long) next.getOrDefault(what, 0L);
          long minutes = (Long) record.fields().getOrDefault("minutes", 1L);
          next.put(what, before + minutes);
          return next;
        }

        @Override
        public Map<String, Object> checkpoint(Map<String, Object> state) {
          return state;
        }
      };

  private Samples() {}

  /** The n-th record of a night: one a second, alternating tanks and kinds. */
  static AuditRecord record(int n) {
    Kind[] kinds = {Kind.RESERVED, Kind.RUN, Kind.QUALITY, Kind.TRIP, Kind.REST};
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("minutes", (long) (n % 5));
    fields.put("redox", new BigDecimal("340.5").add(BigDecimal.valueOf(n % 7)));
    fields.put("first", n % 2 == 0);
    return new AuditRecord(
        EVENING.plusSeconds(n),
        true,
        1_000L * n,
        n % 3 == 0 ? "nursery" : "lagoon",
        kinds[n % kinds.length],
        "record " + n,
        fields);
  }

  static AuditRecord record(int n, Kind kind, String why) {
    return new AuditRecord(EVENING.plusSeconds(n), true, 1_000L * n, "lagoon", kind, why, Map.of());
  }

  static AuditRecord untrusted(AuditRecord record) {
    return new AuditRecord(
        record.at(),
        false,
        record.monoMillis(),
        record.tank(),
        record.kind(),
        record.why(),
        record.fields());
  }

  /** The toy state that recovery gives. */
  static Map<String, Object> recovered(Recovery recovery) {
    Map<String, Object> state = recovery.checkpoint();
    for (AuditRecord record : recovery.recordsSinceCheckpoint()) {
      state = TOY.apply(state, record);
    }
    return state;
  }

  /** A log that goes on from what is on the disk. */
  static AuditLog<Map<String, Object>> open(AuditFiles files) {
    Recovery recovery = AuditRecovery.recover(files);
    return new AuditLog<>(files, recovery, recovered(recovery), TOY);
  }
}
