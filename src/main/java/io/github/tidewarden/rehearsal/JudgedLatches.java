package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.interlock.TankFunction;
import java.util.Arrays;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;

/**
 * The latches of a tank as its records have them: those that are written, and those on the disk.
 */
final class JudgedLatches {
  private static final Set<String> EVERYTHING =
      Arrays.stream(TankFunction.values()).map(TankFunction::word).collect(Collectors.toSet());

  /** What each latch stops, by its name. */
  private final Map<String, Set<String>> standing = new HashMap<>();

  private final Map<String, Set<String>> durable = new HashMap<>();

  /** A record is written: what latches stands at once. */
  void written(AuditRecord record) {
    take(record, standing);
  }

  /** A record is on the disk: what a keeper lets go is gone now. */
  void durable(AuditRecord record) {
    take(record, durable);
    if (isReset(record)) {
      take(record, standing);
    }
  }

  static boolean isReset(AuditRecord record) {
    return "reset".equals(record.fields().get("act"));
  }

  private static void take(AuditRecord record, Map<String, Set<String>> into) {
    String name = String.valueOf(record.fields().get("name"));
    switch (record.kind()) {
      case TRIP, LATCHED, SILENT, FAULT -> {
        if (Boolean.TRUE.equals(record.fields().get("latched"))) {
          Set<String> stops = into.computeIfAbsent(name, any -> new HashSet<>());
          if (record.fields().get("stops") instanceof List<?> list) {
            list.forEach(each -> stops.add(String.valueOf(each)));
          }
        }
      }
      case ACT -> {
        if (isReset(record)) {
          into.remove(name);
        }
      }
      default -> {
        // It latches and releases nothing.
      }
    }
  }

  /** The daemon starts again: what was not on the disk is gone. */
  void restarted() {
    standing.clear();
    standing.putAll(durable);
  }

  /**
   * The latches that a daemon that starts again does not remember. One that could not read its
   * audit has one latch for all of them.
   */
  List<String> forgotten(TankMemory memory) {
    if (memory.latches().containsKey(TankMemory.UNREADABLE)) {
      durable.clear();
      durable.put(TankMemory.UNREADABLE, EVERYTHING);
      restarted();
    }
    return durable.keySet().stream().filter(name -> !memory.latches().containsKey(name)).toList();
  }

  /** Whether a latch of this name stands. */
  boolean stands(String name) {
    return standing.containsKey(name) || standing.containsKey(TankMemory.UNREADABLE);
  }

  /** Which latch stops a function; nothing for none. */
  Optional<String> stops(TankFunction function) {
    return standing.entrySet().stream()
        .filter(latch -> latch.getValue().contains(function.word()))
        .map(latch -> latch.getKey() + " is latched")
        .findFirst();
  }
}
