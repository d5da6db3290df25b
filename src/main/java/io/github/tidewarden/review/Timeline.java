package io.github.tidewarden.review;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.schedule.Nights;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Dates records. One that was written while the wall clock was not trusted is dated by the
 * monotonic clock from a trusted one of the same boot, the one before it if there is one, else the
 * one after it. Without such a one its time is not known, and it belongs to the night of the record
 * before it.
 */
final class Timeline {
  private Timeline() {}

  static List<Entry> of(List<AuditRecord> records, ZoneId zone) {
    List<String> boots = boots(records);
    @Nullable Instant[] dates = new Instant[records.size()];
    AuditRecord trusted = null;
    String boot = "";
    for (int i = 0; i < records.size(); i++) {
      AuditRecord record = records.get(i);
      if (record.trusted()) {
        trusted = record;
        boot = boots.get(i);
        dates[i] = record.at();
      } else if (trusted != null && boot.equals(boots.get(i))) {
        dates[i] = by(trusted, record);
      }
    }
    trusted = null;
    for (int i = records.size() - 1; i >= 0; i--) {
      AuditRecord record = records.get(i);
      if (record.trusted()) {
        trusted = record;
        boot = boots.get(i);
      } else if (dates[i] == null && trusted != null && boot.equals(boots.get(i))) {
        dates[i] = by(trusted, record);
      }
    }
    return marked(records, dates, zone);
  }

  private static Instant by(AuditRecord trusted, AuditRecord record) {
    return trusted.at().plusMillis(record.monoMillis() - trusted.monoMillis());
  }

  /** The boot that each record's monotonic time belongs to. */
  private static List<String> boots(List<AuditRecord> records) {
    List<String> boots = new ArrayList<>();
    String boot = "";
    for (AuditRecord record : records) {
      if (record.kind() == Kind.START && record.fields().get("boot") instanceof String started) {
        boot = started;
        // What opens the segment and tells of its recovery comes before the start itself.
        for (int i = boots.size() - 1; i >= 0 && opens(records.get(i)); i--) {
          boots.set(i, boot);
        }
      }
      boots.add(boot);
    }
    return boots;
  }

  private static boolean opens(AuditRecord record) {
    return record.kind() == Kind.CHECKPOINT || record.kind() == Kind.RECOVERED;
  }

  private static List<Entry> marked(
      List<AuditRecord> records, @Nullable Instant[] dates, ZoneId zone) {
    List<Entry> entries = new ArrayList<>();
    LocalDate night = firstNight(records, dates, zone);
    for (int i = 0; i < records.size(); i++) {
      Instant date = dates[i];
      night = date == null ? night : Nights.nightOf(date, zone);
      entries.add(new Entry(new Mark(i, date, night), records.get(i)));
    }
    return entries;
  }

  private static LocalDate firstNight(
      List<AuditRecord> records, @Nullable Instant[] dates, ZoneId zone) {
    for (Instant date : dates) {
      if (date != null) {
        return Nights.nightOf(date, zone);
      }
    }
    return Nights.nightOf(records.isEmpty() ? Instant.EPOCH : records.get(0).at(), zone);
  }
}
