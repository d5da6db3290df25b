package io.github.tidewarden.cli;

import io.github.tidewarden.audit.PlainText;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.daemon.Watcher;
import io.github.tidewarden.gate.Command;
import java.io.PrintStream;
import java.time.Instant;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.HashSet;
import java.util.Locale;
import java.util.Set;

/**
 * What the demo's audience sees: a line for whatever matters (local time, tank, what, why) and, on
 * a terminal, a progress line under it. Colour only on a terminal.
 */
final class Stage implements Watcher {
  private static final DateTimeFormatter CLOCK =
      DateTimeFormatter.ofPattern("HH:mm:ss", Locale.ROOT);

  private static final String RESET = "\u001b[0m";
  private static final String BOLD = "\u001b[1m";
  private static final String FAINT = "\u001b[2m";
  private static final String BLUE = "\u001b[34m";
  private static final String CYAN = "\u001b[36m";
  private static final String MAGENTA = "\u001b[35m";
  private static final String CLEAR_LINE = "\r\u001b[K";

  private final PrintStream out;
  private final boolean terminal;
  private final Set<String> running = new HashSet<>();
  private String progress = "";

  Stage(PrintStream out, boolean terminal) {
    this.out = out;
    this.terminal = terminal;
  }

  @Override
  public synchronized void record(AuditRecord record) {
    String where = record.tank().isEmpty() ? "site" : record.tank();
    switch (record.kind()) {
      case RUN -> line(record.at(), where, "ozone on", record.why(), BLUE);
      case REST -> line(record.at(), where, "ozone off", record.why(), BLUE);
      case PORTION, DRAINED, FILLED, EXCHANGED ->
          line(record.at(), where, record.kind().word(), record.why(), CYAN);
      case TRIP -> line(record.at(), where, "trip", tripped(record), MAGENTA);
      case LATCHED -> line(record.at(), where, "latched", named(record), MAGENTA);
      case CLEARED -> line(record.at(), where, "cleared", named(record), "");
      case ACT -> line(record.at(), where, "keeper", record.why(), BOLD);
      case ACT_REFUSED -> line(record.at(), where, "refused", record.why(), BOLD);
      case WINDOW_OPENED,
          WINDOW_CLOSED,
          MISSED,
          NEW_WATER,
          HOLD_OVER,
          SILENT,
          NOTICE,
          DEVICE,
          FAULT,
          CLOCK,
          LINK ->
          line(record.at(), where, record.kind().word(), record.why(), "");
      default -> {
        // The rest is for the audit.
      }
    }
  }

  /** Pumps as they start and stop; ozone is told by the records of its runs. */
  @Override
  public synchronized void command(Command command) {
    boolean pump = command.actuator().equals("drain") || command.actuator().equals("fill");
    boolean changed =
        command.runs()
            ? running.add(command.tank() + "/" + command.actuator())
            : running.remove(command.tank() + "/" + command.actuator());
    if (pump && changed) {
      String what = command.runs() ? "pump on" : "pump off";
      line(Instant.now(), command.tank(), what, command.actuator(), CYAN);
    }
  }

  private static String named(AuditRecord record) {
    return record.fields().get("name") + ": " + record.why();
  }

  private static String tripped(AuditRecord record) {
    Object first = record.fields().get("first-out");
    Object name = record.fields().get("name");
    return named(record)
        + (name != null && name.equals(first) ? "" : " (a consequence of " + first + ")");
  }

  /** Something the storyteller says. */
  synchronized void says(String text) {
    clear();
    out.println((terminal ? FAINT : "") + "            " + text + (terminal ? RESET : ""));
    draw();
  }

  /** A headline. */
  synchronized void title(String text) {
    clear();
    out.println();
    out.println((terminal ? BOLD : "") + text + (terminal ? RESET : ""));
    draw();
  }

  /** Text as it is. */
  synchronized void page(String text) {
    clear();
    out.println(text);
  }

  /** Shows how things stand; only on a terminal. */
  synchronized void progress(String text) {
    if (terminal) {
      progress = text;
      clear();
      draw();
    }
  }

  private void line(Instant at, String where, String what, String why, String colour) {
    clear();
    String time = CLOCK.format(LocalTime.ofInstant(at, ZoneId.systemDefault()));
    String text =
        String.format(Locale.ROOT, "%s  %-7s %-13s %s", time, where, what, PlainText.of(why));
    out.println(terminal && !colour.isEmpty() ? colour + text + RESET : text);
    draw();
  }

  private void clear() {
    if (terminal && !progress.isEmpty()) {
      out.print(CLEAR_LINE);
    }
  }

  private void draw() {
    if (terminal && !progress.isEmpty()) {
      out.print(FAINT + progress + RESET);
      out.flush();
    }
  }
}
