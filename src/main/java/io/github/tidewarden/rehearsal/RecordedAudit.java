package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.AuditFiles;
import io.github.tidewarden.audit.AuditLine;
import io.github.tidewarden.audit.AuditReader;
import io.github.tidewarden.audit.Segments;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.io.IOException;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;

/** The records of some nights, each with the boot of the machine in which it was made. */
final class RecordedAudit implements AuditReader.Visitor {

  /** A record and its boot. */
  record Entry(AuditRecord record, String boot) {}

  private final List<Entry> entries = new ArrayList<>();
  private final List<String> bad = new ArrayList<>();

  /** What was mended is told before the start that names the boot. */
  private final List<AuditRecord> beforeStart = new ArrayList<>();

  private String boot = "";

  private RecordedAudit() {}

  /**
   * Those of one night, and of the nights about it.
   *
   * @throws IOException if the directory cannot be read
   */
  static RecordedAudit around(AuditFiles files, LocalDate night) throws IOException {
    RecordedAudit audit = new RecordedAudit();
    AuditReader.read(Segments.around(files, night, night), audit);
    return audit;
  }

  List<Entry> entries() {
    return entries;
  }

  /** Places that cannot be believed. */
  List<String> bad() {
    return bad;
  }

  @Override
  public void record(AuditReader.Place place, AuditLine line, boolean sound) {
    AuditRecord record = line.record();
    if (record.kind() == Kind.CHECKPOINT) {
      if (record.fields().get("state") instanceof Map<?, ?> state && boot.isEmpty()) {
        boot = String.valueOf(state.get("boot"));
      }
    } else if (record.kind() == Kind.RECOVERED) {
      beforeStart.add(record);
    } else {
      if (record.kind() == Kind.START) {
        boot = String.valueOf(record.fields().get("boot"));
      }
      beforeStart.forEach(waiting -> entries.add(new Entry(waiting, boot)));
      beforeStart.clear();
      entries.add(new Entry(record, boot));
    }
  }

  @Override
  public void bad(AuditReader.Place place, String reason) {
    bad.add(place + ": " + reason);
  }

  @Override
  public void note(AuditReader.Place place, String text) {
    // Odd, and in order.
  }
}
