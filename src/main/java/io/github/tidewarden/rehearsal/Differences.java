package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.RecordText;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.function.Function;
import java.util.function.Predicate;
import java.util.regex.Pattern;

/** In what two lists of records differ. */
final class Differences {

  /**
   * A record that has no like on the other side.
   *
   * @param recorded whether it is of the night as it was recorded
   */
  record Difference(AuditRecord record, boolean recorded) {}

  /** Under another configuration the same may come so much sooner or later. */
  private static final Duration ABOUT = Duration.ofSeconds(5);

  private static final Duration SETTLING = Duration.ofMinutes(1);
  private static final Set<Kind> OF_A_START =
      Set.of(Kind.START, Kind.LINK, Kind.QUALITY, Kind.REFUSED);
  private static final Set<Kind> ACCOUNTS = Set.of(Kind.START, Kind.RESERVED, Kind.SETTLED);
  private static final Pattern MEASURED = Pattern.compile("\\d+\\.\\d+ (mV|L|mm|PSU|ppb)\\b");

  private Differences() {}

  /** Down to the last byte, without number and hash; in time order. */
  static List<Difference> exact(List<AuditRecord> recorded, List<AuditRecord> replayed) {
    return of(recorded, replayed, RecordText::of, Duration.ZERO);
  }

  /**
   * By tank, kind, name and words but for what was measured, at about the same time. Left out are
   * the accounts, which follow from the runs, and on both sides what a start brings with it in the
   * first minute: the other core may be started there while the first one runs.
   */
  static List<Difference> about(
      List<AuditRecord> recorded, List<AuditRecord> otherwise, Instant started) {
    Instant settled = started.plus(SETTLING);
    Predicate<AuditRecord> told =
        record ->
            !ACCOUNTS.contains(record.kind())
                && (record.at().isAfter(settled) || !OF_A_START.contains(record.kind()));
    return of(
        recorded.stream().filter(told).toList(),
        otherwise.stream().filter(told).toList(),
        record ->
            record.tank()
                + ' '
                + record.kind()
                + ' '
                + record.fields().get("name")
                + ' '
                + MEASURED.matcher(record.why()).replaceAll("# $1"),
        ABOUT);
  }

  private static List<Difference> of(
      List<AuditRecord> recorded,
      List<AuditRecord> other,
      Function<AuditRecord, String> key,
      Duration apart) {
    List<Difference> found = new ArrayList<>();
    Map<String, ArrayDeque<AuditRecord>> open = new HashMap<>();
    recorded.forEach(
        record -> open.computeIfAbsent(key.apply(record), k -> new ArrayDeque<>()).add(record));
    for (AuditRecord record : other) {
      ArrayDeque<AuditRecord> alike = open.getOrDefault(key.apply(record), new ArrayDeque<>());
      Instant earliest = record.at().minus(apart);
      while (!alike.isEmpty() && alike.element().at().isBefore(earliest)) {
        found.add(new Difference(alike.remove(), true));
      }
      if (!alike.isEmpty() && !alike.element().at().isAfter(record.at().plus(apart))) {
        alike.remove();
      } else {
        found.add(new Difference(record, false));
      }
    }
    open.values().forEach(left -> left.forEach(one -> found.add(new Difference(one, true))));
    found.sort(Comparator.comparing(difference -> difference.record().at()));
    return List.copyOf(found);
  }
}
