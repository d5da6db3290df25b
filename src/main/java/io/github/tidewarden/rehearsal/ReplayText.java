package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.PlainText;
import io.github.tidewarden.audit.RecordText;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.rehearsal.Differences.Difference;
import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;

/** A replay in the keeper's words. */
final class ReplayText {

  /** Differences that are shown of a replay that should have been the same. */
  static final int MOST_EXACT = 10;

  /** Differences that are shown under another configuration. */
  static final int MOST_OTHER = 200;

  private static final DateTimeFormatter LOCAL =
      DateTimeFormatter.ofPattern("uuuu-MM-dd HH:mm:ss", Locale.ROOT);

  private final Replay.Outcome outcome;
  private final ZoneId zone;
  private final StringBuilder text = new StringBuilder();

  private ReplayText(Replay.Outcome outcome) {
    this.outcome = outcome;
    zone = outcome.task().site().zone();
  }

  static String of(Replay.Outcome outcome) {
    return new ReplayText(outcome).write();
  }

  private String write() {
    line("%s, night of %s", outcome.task().site().name(), outcome.task().night());
    if (outcome.stretches().isEmpty()) {
      line("no trace of that night, or none that begins with what is known; nothing is replayed");
    }
    for (SameCore.Stretch stretch : outcome.stretches()) {
      line(
          "replayed: %s to %s, %s",
          local(stretch.from.wall()), local(stretch.to.wall()), count(stretch.inputs, "input"));
    }
    outcome.remarks().forEach(remark -> line("note: %s", PlainText.of(remark)));
    if (outcome.aside() > 0) {
      line(
          "note: %s of that night %s outside of what is replayed",
          count(outcome.aside(), "record"), outcome.aside() == 1 ? "is" : "are");
    }
    if (!outcome.stretches().isEmpty()) {
      exact();
    }
    Tale otherwise = outcome.otherwise();
    if (otherwise != null && !outcome.stretches().isEmpty()) {
      other(otherwise);
    }
    return text.toString();
  }

  private void exact() {
    List<Difference> differences = outcome.differences();
    if (differences.isEmpty()) {
      line(
          "%s, %s",
          count(outcome.compared(), "record"),
          outcome.compared() == 1 ? "the same" : "all the same");
      return;
    }
    line(
        "%s, and %s: - as recorded, + as replayed",
        count(outcome.compared(), "record"), count(differences.size(), "difference"));
    differences.stream()
        .limit(MOST_EXACT)
        .forEach(
            difference ->
                line(
                    "%s %s",
                    difference.recorded() ? "-" : "+", RecordText.of(difference.record())));
    more(differences.size() - MOST_EXACT);
  }

  /** "1 record", "2 records". */
  static String count(long count, String what) {
    return count + " " + what + (count == 1 ? "" : "s");
  }

  private void more(int more) {
    if (more > 0) {
      line("... and %d more", more);
    }
  }

  private void other(Tale otherwise) {
    line("");
    line("Under the other configuration, started at the beginning with the same memory. A tank of");
    line("which both say the same, and of all that share with it, decides the same.");
    line("The water is as recorded; it would have answered otherwise. A device of which both");
    line("command the same reports as recorded, else as one that obeys.");
    Map<String, Tale.OfTank> all = new TreeMap<>(outcome.recorded().tanks());
    all.putAll(otherwise.tanks());
    for (String tank : all.keySet()) {
      Tale.OfTank was = outcome.recorded().tanks().getOrDefault(tank, new Tale.OfTank());
      Tale.OfTank is = otherwise.tanks().getOrDefault(tank, new Tale.OfTank());
      line("");
      line("%-20s %12s %12s", tank, "recorded", "otherwise");
      row("ozone, min", minutes(was), minutes(is));
      row("runs", was.runs, is.runs);
      row("portions", was.portions.size(), is.portions.size());
      row("water out, L", litres(was.outMillilitres), litres(is.outMillilitres));
      row("water in, L", litres(was.inMillilitres), litres(is.inMillilitres));
      row("trips and silences", was.trips.size(), is.trips.size());
      row("latches", was.latches, is.latches);
    }
    List<Difference> differences =
        Differences.about(
            outcome.recorded().records, otherwise.records, outcome.stretches().get(0).from.wall());
    line("");
    line(
        differences.isEmpty()
            ? "no record would have differed"
            : count(differences.size(), "record")
                + (differences.size() == 1 ? " differs" : " differ")
                + ": - as recorded, + otherwise");
    differences.stream().limit(MOST_OTHER).forEach(this::difference);
    more(differences.size() - MOST_OTHER);
  }

  private void row(String what, Object was, Object is) {
    line("  %-18s %12s %12s", what, was, is);
  }

  private void difference(Difference difference) {
    AuditRecord record = difference.record();
    line(
        "%s %s %-10s %-13s %s",
        difference.recorded() ? "-" : "+",
        local(record.at()),
        record.tank().isEmpty() ? "-" : record.tank(),
        record.kind().word(),
        PlainText.of(record.why()));
  }

  private static String minutes(Tale.OfTank tank) {
    return String.format(Locale.ROOT, "%.1f", tank.ozoneTime().toMillis() / 60_000.0);
  }

  private static String litres(long millilitres) {
    return String.format(Locale.ROOT, "%.2f", millilitres / 1000.0);
  }

  private String local(Instant at) {
    return LOCAL.format(at.atZone(zone));
  }

  private void line(String format, Object... values) {
    text.append(String.format(Locale.ROOT, format, values)).append('\n');
  }
}
