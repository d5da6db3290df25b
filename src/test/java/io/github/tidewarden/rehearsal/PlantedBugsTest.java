package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.function.LongFunction;
import javax.tools.DiagnosticCollector;
import javax.tools.FileObject;
import javax.tools.ForwardingJavaFileManager;
import javax.tools.JavaCompiler;
import javax.tools.JavaFileManager;
import javax.tools.JavaFileObject;
import javax.tools.SimpleJavaFileObject;
import javax.tools.StandardJavaFileManager;
import javax.tools.ToolProvider;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/**
 * Bugs that a daemon of this kind could have, each planted into a copy of its source and compiled:
 * the judge of a rehearsal sees what each of them does within a thousand nights. Without one it
 * sees nothing, see {@link StormTest}.
 */
class PlantedBugsTest {
  private static final Path SOURCES = Path.of("src/main/java/io/github/tidewarden");
  private static final int MOST_NIGHTS = 1_000;

  /** Of each seed the night with the faults. */
  private static final int NIGHTS = 1;

  /**
   * One bug: the faults that bring it out, by their names, the invariants that it breaks, and what
   * is changed in which files.
   */
  @SuppressWarnings("ImmutableEnumChecker") // collections that cannot be changed
  enum Bug {
    GATE_AND_SENSOR_IGNORE_STALE(
        List.of("ALL_SILENT"),
        Set.of(2, 7),
        "sensing/Sensor.java",
        "spec.staleNanos() - age",
        "5 * spec.staleNanos() - age"),
    LEASE_TOO_LONG(
        List.of("MUTE"),
        Set.of(4),
        "gate/Lease.java",
        "Math.min(most, left)",
        "Math.min(2 * most, left)"),
    LATCH_FORGOTTEN(
        List.of("LEAK", "RESETS"),
        Set.of(5, 8),
        "control/TankMemory.java",
        "counted(fields, record.trusted()).latchedIf(fields, record.why())",
        "counted(fields, record.trusted())",
        "control/TankMemory.java",
        "case LATCHED -> latchedIf(fields, record.why())",
        "case LATCHED -> this"),
    WINDOW_IN_THE_SECOND_PASS_OF_AUTUMN(
        List.of("MUTE"),
        Set.of(1),
        "schedule/Nights.java",
        "getValidOffsets(local).get(0)",
        "getValidOffsets(local).get(rules.getValidOffsets(local).size() - 1)"),
    DRAIN_REPEATED_AFTER_A_RESTART(
        List.of("KILLED"),
        Set.of(6),
        "exchange/Exchange.java",
        "          isUntouched(world, portion)\n              ? draining(",
        "          portion.restarts() < 9\n              ? draining("),
    OFF_BEHIND_A_SYNC(
        List.of("ALL_SILENT"),
        Set.of(7),
        "control/Site.java",
        "sends.addAll(others);",
        "sends.addAll(0, others);"),
    BROKEN_MESSAGE_IGNORED(
        List.of("UNPLUGGED"),
        Set.of(2, 7),
        "sensing/Sensor.java",
        "return spoiled(payload.fault());",
        "return this;"),
    REDOX_READ_LOW(
        List.of("REDOX_RISES"),
        Set.of(2, 7),
        "sensing/Sensor.java",
        "        payload.value(),\n        reading.arrival().monoNanos(),",
        "        payload.value() - (spec.measure() == Measure.REDOX ? 60 : 0),\n        reading.arrival().monoNanos(),"),
    RESERVATION_NOT_AWAITED(
        List.of("MUTE"),
        Set.of(10),
        "control/Turn.java",
        "pending = new TankState.Pending(lastTicket, record, memory.apply(record, before.boot()));",
        "memory = memory.apply(record, before.boot());"),
    ALLOWANCE_OF_THE_RUN_NOT_COUNTED(
        List.of("MUTE"),
        Set.of(3),
        "control/TankMemory.java",
        "return total.spentInNight(asked) + running;",
        "return total.spentInNight(asked);"),
    CLOCK_STEP_NOT_SEEN(
        List.of("CLOCK_STEPPED"),
        Set.of(1),
        "schedule/ClockWatch.java",
        "MOST_DRIFT = Duration.ofSeconds(2)",
        "MOST_DRIFT = Duration.ofDays(2)"),
    ON_UNASKED_NOT_TOLD_TO_REST(
        List.of("FOREIGN_COMMAND"),
        Set.of(4),
        "interlock/Devices.java",
        "      found.toRest().add(name);\n",
        ""),
    REST_OF_A_TRIP_IGNORED(
        List.of("RETURN_STOPS", "AIR_LOST", "REDOX_RISES"),
        Set.of(5),
        "interlock/Watch.java",
        "now + spec.restNanos())",
        "now)"),
    REST_TWELVE_TIMES_TOO_LONG(
        List.of("RETURN_STOPS", "AIR_LOST", "REDOX_RISES"),
        Set.of(Judge.LIVENESS),
        "interlock/Watch.java",
        "now + spec.restNanos())",
        "now + 12 * spec.restNanos())"),
    ALTERED_RECORD_ACCEPTED(
        List.of("BIT_FLIPPED"),
        Set.of(10),
        "audit/SegmentScan.java",
        "if (!LineFormat.isHashedAfter(before.hash(), bytes, line)) {",
        "if (!LineFormat.isHashedAfter(before.hash(), bytes, line) && bytes.length == 0) {"),
    LATE_MESSAGE_TAKEN_AS_FRESH(
        List.of("UNRELIABLE_NETWORK"),
        Set.of(2, 5, 7),
        "sensing/Sensor.java",
        "if (hasLateTime(payload, reading.arrival()) || (hasLateCount(payload) && !anew)) {",
        "if (hasLateTime(payload, reading.arrival()) && hasLateCount(payload) && !anew) {"),
    HALF_DONE_PORTION_FORGOTTEN(
        List.of("KILLED"),
        Set.of(8),
        "control/WaterMemory.java",
        "case START, FAULT -> portion == null ? this : withPortion(portion.restarted());",
        "case START, FAULT -> portion == null ? this : withPortion(null);"),
    HOLD_STOPS_NOTHING(
        List.of("HELD"),
        Set.of(5),
        "control/HoldKeeper.java",
        "      String why = why(function);\n      if (why != null) {",
        "      String why = why(function);\n      if (why != null && function == null) {"),
    HOLD_FORGOTTEN_AT_A_START(
        List.of("HELD"),
        Set.of(5),
        "control/TankMemory.java",
        "case START -> crashed(record, boot);",
        "case START -> crashed(record, boot).withHolds(List.of());"),
    LEAK_DOES_NOT_LATCH(
        List.of("LEAK"),
        Set.of(8),
        "interlock/Interlocks.java",
        "boolean latched = nth || state.watch(spec.name()).latches(spec, now);",
        "boolean latched = nth;",
        "interlock/Interlocks.java",
        "} else if (is.latches(spec, now) && !situation.latched(spec.name())) {",
        "} else if (is.latches(spec, now) && situation.latched(spec.name())) {"),
    EXCHANGE_WITHOUT_A_BOUND(
        List.of("SILENT"),
        Set.of(6),
        "control/WaterMemory.java",
        "return drained.spentInNight(night) + halfDoneInNight(night);",
        "return 0;",
        "gate/PumpGate.java",
        "return drainedIn24hMillilitres > limits.per24hMillilitres();",
        "return false;"),
    MESSAGE_MAY_COME_TOO_LATE(
        List.of("SLOW_NETWORK"),
        Set.of(4),
        "gate/Lease.java",
        "return Math.max(1, leaseSeconds / 3);",
        "return 3 * Math.max(1, leaseSeconds);"),
    REST_SAYS_RUN(
        List.of("REDOX_RISES", "LEAK"),
        Set.of(1, 2, 4, 5),
        "gate/Gate.java",
        "spec.restPayload(), 0, 0)",
        "spec.runTemplate().replace(ActuatorSpec.SECONDS, \"9\"), 0, 0)");

    private final List<String> faults;
    private final Set<Integer> breaks;
    private final List<String> changes;

    Bug(List<String> faults, Set<Integer> breaks, String... changes) {
      this.faults = faults;
      this.breaks = breaks;
      this.changes = List.of(changes);
    }

    /** The files with the bug in them, by their path below the root package. */
    Map<String, String> sources() throws IOException {
      Map<String, String> sources = new LinkedHashMap<>();
      for (int i = 0; i < changes.size(); i += 3) {
        String file = changes.get(i);
        String text =
            sources.containsKey(file) ? sources.get(file) : Files.readString(SOURCES.resolve(file));
        assertThat(text).as(file).containsOnlyOnce(changes.get(i + 1));
        sources.put(file, text.replace(changes.get(i + 1), changes.get(i + 2)));
      }
      return sources;
    }
  }

  @ParameterizedTest
  @EnumSource(Bug.class)
  void isSeen(Bug bug) throws Exception {
    LongFunction<List<String>> rehearsal = rehearsal(bug.sources(), bug.faults);
    for (int seed = 1; seed * NIGHTS <= MOST_NIGHTS; seed++) {
      for (String broken : rehearsal.apply(seed)) {
        for (int invariant : bug.breaks) {
          if (broken.startsWith(told(invariant))) {
            System.out.printf(Locale.ROOT, "%s: seed %d: %s%n", bug, seed, broken);
            return;
          }
        }
      }
    }
    throw new AssertionError("nobody saw " + bug + " in " + MOST_NIGHTS + " nights");
  }

  private static String told(int invariant) {
    return invariant == Judge.LIVENESS ? "liveness," : "invariant " + invariant + ",";
  }

  /** So that what is seen is seen for the bug: the same way without one, nothing is. */
  @Test
  void seesNothingWhereThereIsNone() throws Exception {
    String unchanged = "gate/Lease.java";
    LongFunction<List<String>> rehearsal =
        rehearsal(
            Map.of(unchanged, Files.readString(SOURCES.resolve(unchanged))),
            List.of("SILENT", "KILLED", "CLOCK_STEPPED"));
    for (int seed = 1; seed <= 3; seed++) {
      assertThat(rehearsal.apply(seed)).isEmpty();
    }
  }

  /** Called in the copy of the program with a bug in it. */
  public static final class Probe implements LongFunction<List<String>> {
    private final List<Hazard> hazards;

    public Probe(List<String> faults) {
      hazards = faults.stream().map(Hazard::valueOf).toList();
    }

    @Override
    public List<String> apply(long seed) {
      return Rehearsal.of(StormSite.task(seed, NIGHTS), hazards, record -> {}, done -> {}).broken();
    }
  }

  // A copy of the program.

  @SuppressWarnings("unchecked") // its own Probe, made by another loader
  private static LongFunction<List<String>> rehearsal(
      Map<String, String> sources, List<String> faults) throws Exception {
    Map<String, byte[]> classes = compiled(sources);
    ClassLoader copy = new CopyLoader(classes);
    return (LongFunction<List<String>>)
        copy.loadClass(Probe.class.getName())
            .getDeclaredConstructor(List.class)
            .newInstance(faults);
  }

  private static Map<String, byte[]> compiled(Map<String, String> sources) throws IOException {
    JavaCompiler compiler = ToolProvider.getSystemJavaCompiler();
    DiagnosticCollector<JavaFileObject> said = new DiagnosticCollector<>();
    Map<String, ByteArrayOutputStream> made = new HashMap<>();
    try (StandardJavaFileManager standard = compiler.getStandardFileManager(said, null, null);
        JavaFileManager files = new IntoMemory(standard, made)) {
      List<JavaFileObject> units = new ArrayList<>();
      sources.forEach((file, text) -> units.add(new Source(file, text)));
      List<String> options = List.of("-proc:none", "-nowarn", "--release", "17");
      boolean good = compiler.getTask(null, files, said, options, null, units).call();
      assertThat(good).as("%s", said.getDiagnostics()).isTrue();
    }
    Map<String, byte[]> classes = new HashMap<>();
    made.forEach((name, bytes) -> classes.put(name, bytes.toByteArray()));
    return classes;
  }

  private static final class Source extends SimpleJavaFileObject {
    private final String text;

    Source(String file, String text) {
      super(URI.create("memory:///io/github/tidewarden/" + file), Kind.SOURCE);
      this.text = text;
    }

    @Override
    public CharSequence getCharContent(boolean ignoreEncodingErrors) {
      return text;
    }
  }

  private static final class IntoMemory extends ForwardingJavaFileManager<JavaFileManager> {
    private final Map<String, ByteArrayOutputStream> made;

    IntoMemory(JavaFileManager standard, Map<String, ByteArrayOutputStream> made) {
      super(standard);
      this.made = made;
    }

    @Override
    public JavaFileObject getJavaFileForOutput(
        Location location, String className, JavaFileObject.Kind kind, FileObject sibling) {
      return new SimpleJavaFileObject(URI.create("memory:///" + className), kind) {
        @Override
        public OutputStream openOutputStream() {
          ByteArrayOutputStream bytes = new ByteArrayOutputStream();
          made.put(className, bytes);
          return bytes;
        }
      };
    }
  }

  /** Loads every class of the program anew, the changed ones as they were compiled here. */
  private static final class CopyLoader extends ClassLoader {
    private final Map<String, byte[]> changed;

    CopyLoader(Map<String, byte[]> changed) {
      super(PlantedBugsTest.class.getClassLoader());
      this.changed = changed;
    }

    @Override
    protected Class<?> loadClass(String name, boolean resolve) throws ClassNotFoundException {
      if (!name.startsWith("io.github.tidewarden.")) {
        return super.loadClass(name, resolve);
      }
      synchronized (getClassLoadingLock(name)) {
        Class<?> known = findLoadedClass(name);
        return known == null ? own(name) : known;
      }
    }

    private Class<?> own(String name) throws ClassNotFoundException {
      byte[] bytes = changed.get(name);
      if (bytes == null) {
        try (InputStream in = getResourceAsStream(name.replace('.', '/') + ".class")) {
          if (in == null) {
            throw new ClassNotFoundException(name);
          }
          bytes = in.readAllBytes();
        } catch (IOException e) {
          throw new ClassNotFoundException(name, e);
        }
      }
      return defineClass(name, bytes, 0, bytes.length);
    }
  }
}
