package io.github.tidewarden.config;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.sensing.SensorSpec;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.snakeyaml.engine.v2.nodes.Node;

/**
 * From a drill's file to the checked drill. Nothing in it is passed over: what is not known, comes
 * too late to matter or could never be is complained about, with its place.
 */
public final class DrillReader {
  private static final String BEGINNING = "a drill begins with `name:`";

  private final Path file;
  private final Configuration configuration;
  private final Section root;
  private final DrillEnd end = new DrillEnd();
  private final List<Drill.Given> given = new ArrayList<>();

  private DrillReader(Path file, Configuration configuration, Section root) {
    this.file = file;
    this.configuration = configuration;
    this.root = root;
  }

  /**
   * Reads and checks a drill.
   *
   * @throws ConfigException when it cannot be read or anything in it is wrong, with every complaint
   */
  public static Drill read(Path file, Configuration configuration) throws ConfigException {
    return read(file, ConfigReader.bytes(file), configuration);
  }

  /**
   * Checks bytes as if they had been read from a file.
   *
   * @throws ConfigException when anything is wrong, with every complaint
   */
  static Drill read(Path file, byte[] bytes, Configuration configuration) throws ConfigException {
    Binding binding = new Binding();
    Node node = YamlFile.read(bytes, binding.complaints(), BEGINNING);
    Section root = node == null ? null : new Value("drill", Place.START, node, binding).section();
    Drill drill = root == null ? null : new DrillReader(file, configuration, root).bind();
    binding.finish();
    if (drill == null || !binding.complaints().none()) {
      throw new ConfigException(file.toString(), binding.complaints().sorted());
    }
    return drill;
  }

  private @Nullable Drill bind() {
    SiteSpec site = configuration.site();
    String name = root.text("name", "skimmer air is lost in a dose");
    DrillTimes times = DrillTimes.of(root, site.zone());
    Long seed = root.optional("seed").map(value -> value.whole(0, Integer.MAX_VALUE)).orElse(1L);
    TankSpec tank = tank(site);
    if (tank == null) {
      root.abandon(); // what it names cannot be told
      return null;
    }
    DrillNames names = new DrillNames(tank);
    DrillClock clock = new DrillClock(configuration.clock(), times, end);
    Section section = root.optionalSection("given");
    if (section != null) {
      given(section, names, times, clock);
    }
    DrillExpect expect = new DrillExpect(names, times);
    List<Drill.Expectation> expectations = new ArrayList<>();
    List<Value> items = root.list("expect", "[ { at: 10 min, on: generator } ]");
    for (Value item : items) {
      Optional.ofNullable(expect.read(item)).ifPresent(expectations::add);
    }
    if (items.isEmpty() && root.has("expect")) {
      root.complain(root.keyPlace("expect"), "nothing is expected", "at least one expectation");
    }
    given.sort(Comparator.comparingLong(Drill.Given::atNanos));
    Drill drill =
        new Drill(
            file,
            name,
            tank.name(),
            times.start(),
            site.zone(),
            seed,
            clock.trustedAtStart(),
            given,
            expectations);
    if (!items.isEmpty() && expectations.size() == items.size()) {
      end.check(drill.endNanos(), times);
    }
    return drill;
  }

  private @Nullable TankSpec tank(SiteSpec site) {
    List<String> known = site.tanks().stream().map(TankSpec::name).toList();
    String example = known.isEmpty() ? "lagoon" : known.get(0);
    String named = root.required("tank", example).map(value -> value.oneOf(known)).orElse("");
    return site.tanks().stream().filter(tank -> tank.name().equals(named)).findFirst().orElse(null);
  }

  private void given(Section section, DrillNames names, DrillTimes times, DrillClock clock) {
    Section sensors = section.optionalSection("sensors");
    if (sensors != null) {
      sensors(sensors, names, times);
    }
    Section devices = section.optionalSection("devices");
    if (devices != null) {
      devices(devices, names, times);
    }
    section.optional("clock").ifPresent(value -> given.addAll(clock.read(value)));
    section
        .optional("link")
        .map(value -> new DrillStates(List.of("down", "up"), "up", times, end).read(value))
        .ifPresent(
            turns ->
                turns.forEach(
                    turn ->
                        given.add(new Drill.LinkTurns(turn.atNanos(), turn.word().equals("up")))));
    DrillKeeper keeper = new DrillKeeper(names, times, end);
    section.optional("keeper").map(Value::list).orElse(List.of()).stream()
        .map(keeper::read)
        .flatMap(act -> Optional.ofNullable(act).stream())
        .forEach(given::add);
  }

  private void sensors(Section section, DrillNames names, DrillTimes times) {
    Map<String, String> spoilt = new HashMap<>();
    for (Value entry : section.entries()) {
      Optional<SensorSpec> spec =
          names.tank().sensors().stream()
              .filter(sensor -> sensor.name().equals(entry.name()))
              .findFirst();
      if (spec.isEmpty()) {
        unknown(section, entry, "sensor", names.sensors(), names);
        continue;
      }
      DrillSeries series = new DrillSeries(spec.get(), times, end);
      given.addAll(series.read(entry));
      String other = series.spoils() ? spoilt.put(spec.get().topic(), entry.name()) : null;
      if (other != null) {
        section.complain(
            entry.namePlace(),
            "`" + entry.name() + "` and `" + other + "` speak in the same messages",
            "`every` and `says` with one of them only; it holds for both");
      }
    }
  }

  private void devices(Section section, DrillNames names, DrillTimes times) {
    Map<String, Drill.DeviceState> states = new LinkedHashMap<>();
    for (Drill.DeviceState state : Drill.DeviceState.values()) {
      states.put(state.word(), state);
    }
    List<String> words = List.copyOf(states.keySet());
    String sound = Drill.DeviceState.SOUND.word();
    for (Value entry : section.entries()) {
      if (!names.devices().contains(entry.name())) {
        unknown(section, entry, "device", names.devices(), names);
        continue;
      }
      for (DrillStates.Turn turn : new DrillStates(words, sound, times, end).read(entry)) {
        Drill.DeviceState state = Objects.requireNonNull(states.get(turn.word()));
        given.add(new Drill.DeviceTurns(turn.atNanos(), entry.name(), state));
      }
    }
  }

  private static void unknown(
      Section section, Value entry, String kind, List<String> known, DrillNames names) {
    section.complain(
        entry.namePlace(),
        names.tank().name() + " has no " + kind + " `" + entry.name() + "`",
        Nearest.remedy(entry.name(), known));
  }
}
