package io.github.tidewarden.audit;

import io.github.tidewarden.audit.AuditReader.Place;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.io.IOException;
import java.io.PrintWriter;
import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.Locale;
import org.jspecify.annotations.Nullable;

/** Prints records for a person, or as the lines that they are. */
public final class AuditPrinter {

  private static final DateTimeFormatter LOCAL =
      DateTimeFormatter.ofPattern("uuuu-MM-dd HH:mm:ss", Locale.ROOT);

  /**
   * Which records.
   *
   * @param tank of this tank, or of the site if empty; null for all
   * @param kind of this kind; null for all
   * @param from at this time or later; null for no bound
   * @param to before this time; null for no bound
   */
  public record Filter(
      @Nullable String tank, @Nullable Kind kind, @Nullable Instant from, @Nullable Instant to) {

    /** Every record. */
    public static final Filter ALL = new Filter(null, null, null, null);

    boolean takes(AuditRecord record) {
      return (tank == null || tank.equals(record.tank()))
          && (kind == null || kind == record.kind())
          && (from == null || !record.at().isBefore(from))
          && (to == null || record.at().isBefore(to));
    }
  }

  /**
   * What came of it.
   *
   * @param read records that are there
   * @param printed those of them that were asked for
   */
  public record Printed(long read, long printed) {}

  private AuditPrinter() {}

  /**
   * Prints as text: local time, tank, kind, why. A line that the chain does not vouch for begins
   * with {@code ?}, a time that was not trusted ends in {@code ?}.
   *
   * @param out records
   * @param problems bad places
   * @throws IOException if the directory cannot be read
   */
  public static Printed printText(
      AuditFiles files, Filter filter, ZoneId zone, PrintWriter out, PrintWriter problems)
      throws IOException {
    return print(files, filter, problems, (line, sound) -> out.println(text(line, sound, zone)));
  }

  /**
   * Prints each record's line as it is in the log.
   *
   * @param out records
   * @param problems bad places
   * @throws IOException if the directory cannot be read
   */
  public static Printed printJson(
      AuditFiles files, Filter filter, PrintWriter out, PrintWriter problems) throws IOException {
    return print(files, filter, problems, (line, sound) -> out.println(LineFormat.text(line)));
  }

  private interface LinePrinter {
    void print(AuditLine line, boolean sound);
  }

  private static Printed print(
      AuditFiles files, Filter filter, PrintWriter problems, LinePrinter printer)
      throws IOException {
    Selection selection = new Selection(filter, problems, printer);
    AuditReader.read(files, selection);
    return new Printed(selection.read, selection.printed);
  }

  private static final class Selection implements AuditReader.Visitor {
    private final Filter filter;
    private final PrintWriter problems;
    private final LinePrinter printer;
    private long read;
    private long printed;

    Selection(Filter filter, PrintWriter problems, LinePrinter printer) {
      this.filter = filter;
      this.problems = problems;
      this.printer = printer;
    }

    @Override
    public void record(Place place, AuditLine line, boolean sound) {
      read++;
      if (filter.takes(line.record())) {
        printed++;
        printer.print(line, sound);
      }
    }

    @Override
    public void bad(Place place, String reason) {
      problems.println(place + ": " + reason);
    }

    @Override
    public void note(Place place, String text) {
      // for verify
    }
  }

  private static String text(AuditLine line, boolean sound, ZoneId zone) {
    AuditRecord record = line.record();
    return String.format(
        Locale.ROOT,
        "%s%s%s  %-12s %-14s %s",
        sound ? "" : "? ",
        LOCAL.format(record.at().atZone(zone)),
        record.trusted() ? " " : "?",
        record.tank().isEmpty() ? "-" : PlainText.of(record.tank()),
        record.kind().word(),
        PlainText.of(record.why()));
  }
}
