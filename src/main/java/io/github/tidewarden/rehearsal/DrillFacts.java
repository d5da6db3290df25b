package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.Drill;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.gate.Command;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import org.jspecify.annotations.Nullable;

/** What was so when in a drill, of all that it claims, and what the daemon said of it. */
final class DrillFacts implements DrillSite.Onlooker {

  /** From a time on, ns since the start, it was so, or it was not. */
  record Change(long nanos, boolean holds) {}

  /** A record and when it was written, ns since the start. */
  record Written(long nanos, AuditRecord record) {}

  /** What was published of the tank's state from a time on, ns since the start. */
  record State(long nanos, Map<String, Object> content) {}

  private record Key(Drill.Fact fact, String name) {}

  private final String tank;
  private final Map<Key, List<Change>> changes = new LinkedHashMap<>();
  private final List<Written> records = new ArrayList<>();
  private final List<State> states = new ArrayList<>();
  private final Map<String, String> trips = new TreeMap<>();
  private final Set<String> toldToRun = new TreeSet<>();
  private final DrillSite site;
  private String firstOut = "";
  private TankMemory memory = TankMemory.BLANK;

  /** Whether a record has changed the memory since it was looked at; nothing else does. */
  private boolean remembersMore = true;

  DrillFacts(Drill drill, SiteMaker maker) {
    tank = drill.tank();
    for (Drill.Expectation each : drill.expectations()) {
      for (Drill.Claim claim : each.claims()) {
        changes.computeIfAbsent(new Key(claim.fact(), claim.name()), key -> new ArrayList<>());
      }
    }
    site = maker.of(this);
  }

  /** Makes the site that is looked on. */
  interface SiteMaker {
    DrillSite of(DrillSite.Onlooker onlooker);
  }

  /** Lives through it up to this time since the start. */
  void live(long endNanos) {
    site.live(endNanos);
  }

  @Override
  public void written(long nanos, AuditRecord record) {
    remembersMore = true;
    boolean ours = record.tank().equals(tank) || record.tank().isEmpty();
    if (ours || record.kind() == Kind.FAULT) {
      records.add(new Written(nanos, record));
    }
    if (ours && record.kind() == Kind.TRIP) {
      firstOut = String.valueOf(record.fields().get("first-out"));
    }
  }

  @Override
  public void synced() {
    remembersMore = true;
  }

  @Override
  public void told(long nanos, Effect.Tell tell) {
    String trip = tank + "/trip/";
    if (tell.topic().startsWith(trip)) {
      String name = tell.topic().substring(trip.length());
      if (tell.content().isEmpty()) {
        trips.remove(name);
      } else {
        trips.put(name, String.valueOf(tell.content().get("why")));
      }
    } else if (tell.topic().equals(tank + "/state")) {
      states.add(new State(nanos, tell.content()));
    }
  }

  @Override
  public void commanded(Command command) {
    if (!command.tank().equals(tank)) {
      return;
    }
    if (command.runs()) {
      toldToRun.add(command.actuator());
    } else {
      toldToRun.remove(command.actuator());
    }
  }

  @Override
  public void looks(long nanos) {
    if (remembersMore) {
      memory = site.memory().tank(tank);
      remembersMore = false;
    }
    changes.forEach(
        (key, seen) -> {
          boolean holds = holds(key);
          int last = seen.size() - 1;
          if (last >= 0 && seen.get(last).nanos() == nanos) {
            seen.remove(last--); // what was so for no time at all
          }
          if (last < 0 || seen.get(last).holds() != holds) {
            seen.add(new Change(nanos, holds));
          }
        });
  }

  private boolean holds(Key key) {
    String name = key.name();
    return switch (key.fact()) {
      case ON -> site.rig().tank(tank).device(name).on();
      case TOLD_TO_RUN -> toldToRun.contains(name);
      case TRIPPED -> trips.containsKey(name);
      case LATCHED -> memory.latches().containsKey(name);
      case FIRST_OUT -> firstOut.equals(name);
      case HELD -> memory.holds().stream().anyMatch(hold -> hold.name().equals(name));
      case PORTION -> !states.isEmpty() && name.equals(last().content().get("exchange"));
      case NOTICE -> false; // told at a moment; its records are looked at
    };
  }

  private State last() {
    return states.get(states.size() - 1);
  }

  // What was so.

  /** How a fact was at a time, all that happened then included, and since when. */
  Change at(Drill.Claim claim, long nanos) {
    Change found = new Change(0, false);
    for (Change change : of(claim)) {
      if (change.nanos() <= nanos) {
        found = change;
      }
    }
    return found;
  }

  /** When a fact changed after one time and up to another, the first time; null for never. */
  @Nullable Change next(Drill.Claim claim, long afterNanos, long untilNanos) {
    for (Change change : of(claim)) {
      if (change.nanos() > afterNanos && change.nanos() <= untilNanos) {
        return change;
      }
    }
    return null;
  }

  private List<Change> of(Drill.Claim claim) {
    return changes.getOrDefault(new Key(claim.fact(), claim.name()), List.of());
  }

  /** The first record that tells of a name from one time to another; null for none. */
  @Nullable Written notice(String name, long fromNanos, long toNanos) {
    for (Written each : records) {
      boolean tells =
          each.record().kind() == Kind.NOTICE
              || each.record().kind() == Kind.SILENT
              || each.record().kind() == Kind.DEVICE;
      if (tells
          && name.equals(each.record().fields().get("name"))
          && each.nanos() >= fromNanos
          && each.nanos() <= toNanos) {
        return each;
      }
    }
    return null;
  }

  /** What was published of the tank's state under a key at a time; empty for nothing. */
  String state(String key, long nanos) {
    String found = "";
    for (State state : states) {
      if (state.nanos() <= nanos) {
        found = String.valueOf(state.content().getOrDefault(key, ""));
      }
    }
    return found;
  }

  /** The last trip up to a time; null for none. */
  @Nullable Written lastTrip(long nanos) {
    Written found = null;
    for (Written each : records) {
      boolean trip = each.record().kind() == Kind.TRIP && each.record().tank().equals(tank);
      found = trip && each.nanos() <= nanos ? each : found;
    }
    return found;
  }

  /** Every record of the tank and the site, and of every fault, in order. */
  List<Written> records() {
    return records;
  }

  /** How a keeper was answered; null for not at all. */
  Effect.@Nullable Answer answer(long request) {
    return site.answer(request);
  }
}
