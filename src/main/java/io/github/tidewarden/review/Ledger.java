package io.github.tidewarden.review;

import io.github.tidewarden.control.BinMemory;
import io.github.tidewarden.control.Checkpoint;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.review.ReviewedSite.ReviewedTank;
import java.time.DateTimeException;
import java.time.LocalDate;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/**
 * What the daemon itself remembers at the end of a span: its own fold over the records read. So
 * what the review says is latched and counted is what the daemon holds to be so.
 */
final class Ledger {
  private final ReviewedSite site;
  private final LocalDate night;
  private final Map<String, Long> allowances = new HashMap<>();
  private final Map<String, String> openWindows = new HashMap<>();
  private @Nullable SiteMemory memory;

  private Ledger(ReviewedSite site, LocalDate night) {
    this.site = site;
    this.night = night;
  }

  static Ledger at(List<Entry> entries, Span span, ReviewedSite site) {
    Ledger ledger = new Ledger(site, span.night());
    if (!entries.isEmpty() && entries.get(0).kind() != Kind.CHECKPOINT) {
      ledger.memory = ledger.knowing(SiteMemory.BLANK);
    }
    for (Entry entry : entries.subList(0, end(entries, span))) {
      ledger.take(entry);
    }
    return ledger;
  }

  /** Index after the last record before the end of a span. */
  static int end(List<Entry> entries, Span span) {
    int end = entries.size();
    while (end > 0 && !entries.get(end - 1).mark().isBeforeEndOf(span)) {
      end--;
    }
    return end;
  }

  /** What a tank remembers; null when it cannot be told from the records read. */
  @Nullable TankMemory tank(String name) {
    return memory == null ? null : memory.tank(name);
  }

  /** What is remembered of a bin of new water; nothing when it cannot be told. */
  BinMemory bin(String name) {
    return memory == null ? BinMemory.BLANK : memory.bin(name);
  }

  /** The night's allowance, ms, as the daemon reckoned with it; null when no record tells. */
  @Nullable Long allowanceMillis(String tank) {
    return allowances.get(tank);
  }

  private void take(Entry entry) {
    SiteMemory before = memory;
    noteAllowance(entry, before);
    try {
      if (entry.kind() == Kind.CHECKPOINT) {
        memory = knowing(Checkpoint.read(state(entry)));
      } else if (before != null) {
        memory = before.apply(entry.record());
      }
    } catch (IllegalArgumentException | ClassCastException | DateTimeException e) {
      memory = null; // a record that lacks what its kind must have; the next checkpoint tells
    }
  }

  private static Map<String, ?> state(Entry checkpoint) {
    Map<String, Object> state = new TreeMap<>();
    if (checkpoint.record().fields().get("state") instanceof Map<?, ?> fields) {
      fields.forEach((name, value) -> state.put(String.valueOf(name), value));
    }
    return state;
  }

  private SiteMemory knowing(SiteMemory known) {
    return known.knowing(site.tanks().stream().map(ReviewedTank::name));
  }

  /**
   * The allowance is what is left of it and what was spent when that was written. Only reservations
   * and refusals are written while no other reservation is on its way.
   */
  private void noteAllowance(Entry entry, @Nullable SiteMemory before) {
    String tank = entry.tank();
    if (entry.kind() == Kind.WINDOW_OPENED) {
      openWindows.put(tank, entry.text("window"));
    }
    String window =
        entry.kind() == Kind.RESERVED
            ? entry.text("window")
            : entry.kind() == Kind.REFUSED ? openWindows.getOrDefault(tank, "") : "";
    Long left = entry.count("allowance-left-ms");
    if (left != null && before != null && window.startsWith(night + "#")) {
      // The first one of the night: no gap in what follows can falsify it.
      allowances.putIfAbsent(tank, left + before.tank(tank).spentInNightMillis(night));
    }
  }
}
