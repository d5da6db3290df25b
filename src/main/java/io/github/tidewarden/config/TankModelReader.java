package io.github.tidewarden.config;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.snakeyaml.engine.v2.nodes.Node;

/**
 * From a tank model's file to what it says of each tank of a configuration. Nothing in it is passed
 * over: what is not known, or said of a tank that has no use for it, is complained about at its
 * place.
 */
public final class TankModelReader {
  private static final String BEGINNING = "a tank model begins with `all-tanks:` or with `tanks:`";

  private final SiteSpec site;
  private final Section root;

  private TankModelReader(SiteSpec site, Section root) {
    this.site = site;
    this.root = root;
  }

  /**
   * Reads and checks a tank model.
   *
   * @throws ConfigException when it cannot be read or anything in it is wrong, with every complaint
   */
  public static TankModelFile read(Path file, Configuration configuration) throws ConfigException {
    return read(file, ConfigReader.bytes(file), configuration);
  }

  /**
   * Checks bytes as if they had been read from a file.
   *
   * @throws ConfigException when anything is wrong, with every complaint
   */
  public static TankModelFile read(Path file, byte[] bytes, Configuration configuration)
      throws ConfigException {
    Binding binding = new Binding();
    Node node = YamlFile.read(bytes, binding.complaints(), BEGINNING);
    Section root =
        node == null ? null : new Value("tank model", Place.START, node, binding).section();
    Map<String, TankFigures> tanks =
        root == null ? Map.of() : new TankModelReader(configuration.site(), root).bind();
    binding.finish();
    if (!binding.complaints().none()) {
      throw new ConfigException(file.toString(), binding.complaints().sorted());
    }
    return new TankModelFile(String.valueOf(file.getFileName()), ConfigReader.digest(bytes), tanks);
  }

  private Map<String, TankFigures> bind() {
    if (!root.has("all-tanks") && !root.has("tanks")) {
      root.complain(root.place(), "nothing is said of any tank", BEGINNING);
    }
    TankModelDraft all = new TankModelDraft(null);
    Section every = root.optionalSection("all-tanks");
    if (every != null) {
      all.read(every);
    }
    Map<String, TankModelDraft> own = new LinkedHashMap<>();
    Section section = root.optionalSection("tanks");
    if (section != null) {
      section.entries().forEach(entry -> tank(section, entry, own));
    }
    Map<String, TankFigures> tanks = new LinkedHashMap<>();
    for (TankSpec spec : site.tanks()) {
      TankModelDraft draft = own.getOrDefault(spec.name(), new TankModelDraft(spec));
      tanks.put(spec.name(), draft.over(all));
    }
    Place place = section == null ? root.place() : section.place();
    for (String differs : new TankModelSharing(site.tanks(), tanks).differences()) {
      root.complain(place, differs, "say the same of both, or say it once under `all-tanks`");
    }
    return tanks;
  }

  private void tank(Section tanks, Value entry, Map<String, TankModelDraft> own) {
    TankSpec spec = known(entry.name()).orElse(null);
    Section section = entry.section();
    if (spec == null) {
      List<String> names = site.tanks().stream().map(TankSpec::name).toList();
      tanks.complain(
          entry.namePlace(),
          "the configuration has no tank `" + entry.name() + "`",
          Nearest.remedy(entry.name(), names));
      abandon(section);
    } else if (section != null) {
      TankModelDraft draft = new TankModelDraft(spec);
      draft.read(section);
      own.put(spec.name(), draft);
    }
  }

  private static void abandon(@Nullable Section section) {
    if (section != null) {
      section.abandon(); // whose figures they are cannot be told
    }
  }

  private Optional<TankSpec> known(String name) {
    return site.tanks().stream().filter(tank -> tank.name().equals(name)).findFirst();
  }
}
