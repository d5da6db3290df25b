package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Portion;
import io.github.tidewarden.schedule.RollingTotal;
import io.github.tidewarden.schedule.Spend;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/** The site's memory as the fields of a {@code checkpoint} record, and back. */
public final class Checkpoint {
  private Checkpoint() {}

  /** The whole memory; the same memory always gives the same fields in the same order. */
  public static Map<String, Object> of(SiteMemory memory) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("boot", memory.boot());
    fields.put("last-seen", memory.lastSeen() == null ? "" : memory.lastSeen().toString());
    fields.put("requests", memory.requests());
    Map<String, Object> tanks = new LinkedHashMap<>();
    memory.tanks().forEach((name, tank) -> tanks.put(name, of(tank)));
    fields.put("tanks", tanks);
    return fields;
  }

  /**
   * Reads a memory back.
   *
   * @throws IllegalArgumentException when something is missing or of another type
   */
  public static SiteMemory read(Map<String, ?> map) {
    Fields fields = new Fields(map);
    Map<String, TankMemory> tanks = new TreeMap<>();
    fields.map("tanks").forEach((name, tank) -> tanks.put((String) name, tank(Fields.of(tank))));
    String seen = fields.text("last-seen");
    return new SiteMemory(
        fields.text("boot"),
        seen.isEmpty() ? null : Instant.parse(seen),
        texts(fields.list("requests")),
        tanks);
  }

  private static Map<String, Object> of(TankMemory memory) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("latches", new LinkedHashMap<>(memory.latches()));
    fields.put("night", memory.night() == null ? "" : memory.night().toString());
    Map<String, Object> counts = new LinkedHashMap<>();
    memory.counts().forEach((name, count) -> counts.put(name, (long) count));
    fields.put("counts", counts);
    fields.put("spends", memory.total().spends().stream().map(Checkpoint::of).toList());
    fields.put("last-run", memory.lastRun());
    Run run = memory.run();
    if (run != null) {
      Map<String, Object> open = new LinkedHashMap<>();
      open.put("number", run.number());
      open.put("night", run.night().toString());
      open.put("reserved-ms", run.reservedMillis());
      if (run.spend() != null) {
        open.put("spend", of(run.spend()));
      }
      fields.put("open-run", open);
    }
    TankMemory.OpenedWindow opened = memory.opened();
    if (opened != null) {
      Map<String, Object> open = new LinkedHashMap<>();
      open.put("id", opened.id());
      open.put("boot", opened.boot());
      open.put("mono-ms", opened.monoMillis());
      open.put("runs", opened.runs());
      fields.put("open-window", open);
    }
    fields.put("closed-windows", memory.closed());
    fields.put("water", of(memory.water()));
    return fields;
  }

  private static TankMemory tank(Fields fields) {
    Map<String, String> latches = new TreeMap<>();
    fields.map("latches").forEach((name, why) -> latches.put((String) name, (String) why));
    Map<String, Integer> counts = new TreeMap<>();
    fields
        .map("counts")
        .forEach((name, count) -> counts.put((String) name, Math.toIntExact((Long) count)));
    List<Spend> spends = new ArrayList<>();
    fields.list("spends").forEach(spend -> spends.add(spend(Fields.of(spend))));
    String night = fields.text("night");
    return new TankMemory(
        latches,
        night.isEmpty() ? null : LocalDate.parse(night),
        counts,
        RollingTotal.of(spends),
        fields.has("open-run") ? run(fields.fields("open-run")) : null,
        fields.count("last-run"),
        fields.has("open-window") ? window(fields.fields("open-window")) : null,
        texts(fields.list("closed-windows")),
        water(fields.fields("water")));
  }

  private static Map<String, Object> of(WaterMemory memory) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("drained", memory.drained().spends().stream().map(Checkpoint::of).toList());
    fields.put("last-portion", memory.lastPortion());
    fields.put(Fields.DRAIN_SHARE, memory.drainShare());
    fields.put(Fields.FILL_SHARE, memory.fillShare());
    fields.put("apart-ml", memory.apartMillilitres());
    fields.put("accounted", memory.accounted() == null ? "" : memory.accounted().toString());
    Portion portion = memory.portion();
    if (portion != null) {
      Map<String, Object> open = new LinkedHashMap<>();
      open.put(Fields.PORTION, portion.number());
      open.put(Fields.NIGHT, portion.night().toString());
      open.put(Fields.WINDOW, portion.window());
      open.put(Fields.PORTION_ML, portion.millilitres());
      open.put(Fields.BEFORE_UM, portion.beforeMicrometres());
      open.put(Fields.TARGET_UM, portion.targetMicrometres());
      open.put("filling", portion.stage() == Portion.Stage.FILLING);
      open.put(Fields.OUT_ML, portion.outMillilitres());
      open.put(Fields.LEVEL_UM, portion.drainedMicrometres());
      fields.put("open-portion", open);
    }
    return fields;
  }

  private static WaterMemory water(Fields fields) {
    List<Spend> drained = new ArrayList<>();
    fields.list("drained").forEach(spend -> drained.add(spend(Fields.of(spend))));
    String accounted = fields.text("accounted");
    return new WaterMemory(
        RollingTotal.of(drained),
        fields.has("open-portion") ? portion(fields.fields("open-portion")) : null,
        fields.count("last-portion"),
        fields.count(Fields.DRAIN_SHARE),
        fields.count(Fields.FILL_SHARE),
        fields.count("apart-ml"),
        accounted.isEmpty() ? null : LocalDate.parse(accounted));
  }

  private static Portion portion(Fields fields) {
    return new Portion(
        fields.count(Fields.PORTION),
        fields.date(Fields.NIGHT),
        fields.text(Fields.WINDOW),
        fields.count(Fields.PORTION_ML),
        fields.count(Fields.BEFORE_UM),
        fields.count(Fields.TARGET_UM),
        fields.flag("filling") ? Portion.Stage.FILLING : Portion.Stage.DRAINING,
        fields.count(Fields.OUT_ML),
        fields.count(Fields.LEVEL_UM));
  }

  private static Run run(Fields fields) {
    @Nullable Spend spend = fields.has("spend") ? spend(fields.fields("spend")) : null;
    return new Run(
        fields.count("number"), fields.date("night"), fields.count("reserved-ms"), spend);
  }

  private static TankMemory.OpenedWindow window(Fields fields) {
    return new TankMemory.OpenedWindow(
        fields.text("id"), fields.text("boot"), fields.count("mono-ms"), fields.count("runs"));
  }

  private static Map<String, Object> of(Spend spend) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("boot", spend.boot());
    fields.put("night", spend.night().toString());
    fields.put("end-mono-ms", spend.endMonoMillis());
    fields.put("end", spend.wallEnd().toString());
    fields.put("trusted", spend.trusted());
    fields.put("spent", spend.amount());
    return fields;
  }

  private static Spend spend(Fields fields) {
    return new Spend(
        fields.text("boot"),
        fields.date("night"),
        fields.count("end-mono-ms"),
        Instant.parse(fields.text("end")),
        fields.flag("trusted"),
        fields.count("spent"));
  }

  private static List<String> texts(List<?> list) {
    return list.stream().map(String.class::cast).toList();
  }
}
