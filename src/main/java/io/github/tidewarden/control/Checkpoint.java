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
  private static final String CARE = "care";
  private static final String LESSONS = "lessons";
  private static final String PROBES = "probes";
  private static final String TOP_OFF_HELD = "top-off-held";

  private Checkpoint() {}

  /** The whole memory; the same memory always gives the same fields in the same order. */
  public static Map<String, Object> of(SiteMemory memory) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("boot", memory.boot());
    fields.put("last-seen", memory.lastSeen() == null ? "" : memory.lastSeen().toString());
    fields.put("requests", memory.requests());
    Map<String, Object> bins = new LinkedHashMap<>();
    memory.bins().forEach((name, bin) -> bins.put(name, of(bin)));
    fields.put("bins", bins);
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
    Map<String, BinMemory> bins = new TreeMap<>();
    fields.map("bins").forEach((name, bin) -> bins.put((String) name, bin(Fields.of(bin))));
    String seen = fields.text("last-seen");
    return new SiteMemory(
        fields.text("boot"),
        seen.isEmpty() ? null : Instant.parse(seen),
        texts(fields.list("requests")),
        bins,
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
    fields.put("holds", memory.holds().stream().map(Checkpoint::of).toList());
    Map<String, Object> probes = new LinkedHashMap<>();
    memory.probes().forEach((name, probe) -> probes.put(name, probe.fields()));
    fields.put(PROBES, probes);
    fields.put(CARE, memory.care().fields());
    fields.put(LESSONS, memory.lessons().fields());
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
        holds(fields),
        probes(fields),
        fields.has(CARE) ? CareMemory.read(fields.fields(CARE)) : CareMemory.BLANK,
        fields.has(LESSONS) ? Lessons.read(fields.fields(LESSONS)) : Lessons.NONE,
        water(fields.fields("water")));
  }

  /** An older version knew of none. */
  private static Map<String, ProbeMemory> probes(Fields fields) {
    Map<String, ProbeMemory> probes = new TreeMap<>();
    if (fields.has(PROBES)) {
      fields
          .map(PROBES)
          .forEach((name, probe) -> probes.put((String) name, ProbeMemory.read(Fields.of(probe))));
    }
    return probes;
  }

  private static Map<String, Object> of(WaterMemory memory) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("drained", memory.drained().spends().stream().map(Checkpoint::of).toList());
    fields.put("last-portion", memory.lastPortion());
    fields.put("drain-pump", of(memory.drain()));
    fields.put("fill-pump", of(memory.fill()));
    fields.put("apart-ml", memory.apartMillilitres());
    fields.put(Fields.UNSEEN_ML, memory.unseenMillilitres());
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
      open.put(Fields.PER_MM_UL, portion.microlitresPerMillimetre());
      open.put(Fields.BIN_ML, portion.binMillilitres());
      open.put("restarts", portion.restarts());
      open.put("refills", portion.refills());
      open.put("whole", portion.whole());
      open.put("filling", portion.stage() == Portion.Stage.FILLING);
      open.put(Fields.OUT_ML, portion.outMillilitres());
      open.put(Fields.LEVEL_UM, portion.drainedMicrometres());
      fields.put("open-portion", open);
    }
    fields.put("ledger", of(memory.ledger()));
    fields.put(Fields.SALT, of(memory.salt()));
    Spend held = memory.topOffHeld();
    if (held != null) {
      fields.put(TOP_OFF_HELD, of(held));
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
        pump(fields.fields("drain-pump")),
        pump(fields.fields("fill-pump")),
        fields.count("apart-ml"),
        fields.has(Fields.UNSEEN_ML) ? fields.count(Fields.UNSEEN_ML) : 0,
        accounted.isEmpty() ? null : LocalDate.parse(accounted),
        ledger(fields.fields("ledger")),
        salt(fields.fields(Fields.SALT)),
        fields.has(TOP_OFF_HELD) ? spend(fields.fields(TOP_OFF_HELD)) : null);
  }

  private static Map<String, Object> of(PumpMemory memory) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("configured", memory.configured());
    fields.put("calibrated", memory.calibrated());
    fields.put("learnt", memory.learnt());
    return fields;
  }

  private static PumpMemory pump(Fields fields) {
    return new PumpMemory(
        fields.has("configured") ? fields.count("configured") : 0,
        fields.count("calibrated"),
        fields.count("learnt"));
  }

  private static Map<String, Object> of(WaterLedger memory) {
    Map<String, Object> fields = new LinkedHashMap<>();
    List<Map<String, Object>> nights = new ArrayList<>();
    for (WaterLedger.Night night : memory.nights()) {
      Map<String, Object> one = new LinkedHashMap<>();
      one.put(Fields.NIGHT, night.night().toString());
      one.put(Fields.OUT_ML, night.outMillilitres());
      one.put(Fields.IN_ML, night.inMillilitres());
      one.put(Fields.KEPT, night.kept());
      nights.add(one);
    }
    fields.put("nights", nights);
    fields.put("year", (long) memory.year());
    fields.put(Fields.OUT_ML, memory.yearOutMillilitres());
    fields.put(Fields.IN_ML, memory.yearInMillilitres());
    return fields;
  }

  private static WaterLedger ledger(Fields fields) {
    List<WaterLedger.Night> nights = new ArrayList<>();
    for (Object one : fields.list("nights")) {
      Fields night = Fields.of(one);
      nights.add(
          new WaterLedger.Night(
              night.date(Fields.NIGHT),
              night.count(Fields.OUT_ML),
              night.count(Fields.IN_ML),
              night.count(Fields.KEPT)));
    }
    return new WaterLedger(
        nights,
        Math.toIntExact(fields.count("year")),
        fields.count(Fields.OUT_ML),
        fields.count(Fields.IN_ML));
  }

  private static Map<String, Object> of(SaltMemory memory) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.SALINITY_UPSU, memory.last());
    fields.put(Fields.WATER_ML, memory.millilitres());
    fields.put(Fields.SALT, memory.salt());
    fields.put(Fields.SALT_OFF, memory.off());
    fields.put(Fields.SALT_NIGHT, memory.night());
    fields.put("drifts", memory.drifts());
    return fields;
  }

  private static SaltMemory salt(Fields fields) {
    return new SaltMemory(
        fields.count(Fields.SALINITY_UPSU),
        fields.count(Fields.WATER_ML),
        fields.count(Fields.SALT),
        fields.count(Fields.SALT_OFF),
        fields.count(Fields.SALT_NIGHT),
        fields.list("drifts").stream().map(Long.class::cast).toList());
  }

  private static Map<String, Object> of(BinMemory memory) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("mixed", memory.mixed());
    fields.put("drawn-ml", memory.drawnMillilitres());
    fields.put(Fields.BIN_ML, memory.leftMillilitres());
    BinMemory.Batch batch = memory.batch();
    if (batch != null) {
      Map<String, Object> confirmed = of(batch.confirmed());
      confirmed.put(Fields.BY, batch.by());
      confirmed.put(Fields.SALINITY_UPSU, batch.microPsu());
      Long milliCelsius = batch.milliCelsius();
      if (milliCelsius != null) {
        confirmed.put(Fields.TEMPERATURE_MCEL, milliCelsius);
      }
      confirmed.put(Fields.MIXED_MS, batch.mixedMillis());
      confirmed.put(Fields.VOLUME_ML, batch.millilitres());
      fields.put("batch", confirmed);
    }
    Spend filled = memory.filled();
    if (filled != null) {
      fields.put("filled", of(filled));
    }
    return fields;
  }

  private static BinMemory bin(Fields fields) {
    return new BinMemory(
        fields.has("batch") ? batch(fields.fields("batch")) : null,
        fields.has("filled") ? spend(fields.fields("filled")) : null,
        fields.has("mixed") && fields.flag("mixed"),
        fields.count("drawn-ml"),
        fields.count(Fields.BIN_ML));
  }

  private static BinMemory.Batch batch(Fields fields) {
    return new BinMemory.Batch(
        fields.text(Fields.BY),
        spend(fields),
        fields.count(Fields.SALINITY_UPSU),
        fields.has(Fields.TEMPERATURE_MCEL) ? fields.count(Fields.TEMPERATURE_MCEL) : null,
        fields.count(Fields.MIXED_MS),
        fields.count(Fields.VOLUME_ML));
  }

  private static Map<String, Object> of(Hold hold) {
    Map<String, Object> fields = hold.named();
    fields.put(Fields.BY, hold.by());
    fields.put("boot", hold.boot());
    fields.put("why", hold.why());
    return fields;
  }

  /** A list; in an older checkpoint each function that is held, with its only hold. */
  private static List<Hold> holds(Fields tank) {
    List<Hold> holds = new ArrayList<>();
    if (tank.isMap("holds")) {
      tank.map("holds").forEach((name, hold) -> holds.add(hold((String) name, Fields.of(hold))));
    } else {
      tank.list("holds").stream()
          .map(Fields::of)
          .forEach(hold -> holds.add(hold(hold.text(Fields.NAME), hold)));
    }
    return holds;
  }

  private static Hold hold(String name, Fields fields) {
    return new Hold(
        name,
        fields.text(Fields.BY),
        fields.text("boot"),
        fields.count(Fields.END_MONO_MS),
        Instant.parse(fields.text(Fields.END)),
        fields.text("why"));
  }

  private static Portion portion(Fields fields) {
    return new Portion(
        fields.count(Fields.PORTION),
        fields.date(Fields.NIGHT),
        fields.text(Fields.WINDOW),
        fields.count(Fields.PORTION_ML),
        fields.count(Fields.BEFORE_UM),
        fields.count(Fields.TARGET_UM),
        WaterMemory.perMillimetre(fields),
        fields.count(Fields.BIN_ML),
        fields.count("restarts"),
        refills(fields),
        fields.has("whole") && fields.flag("whole"),
        fields.flag("filling") ? Portion.Stage.FILLING : Portion.Stage.DRAINING,
        fields.count(Fields.OUT_ML),
        fields.count(Fields.LEVEL_UM));
  }

  /** A version that did not count them apart had at most as many as starts. */
  private static long refills(Fields portion) {
    if (portion.has("refills")) {
      return portion.count("refills");
    }
    return portion.flag("filling") ? portion.count("restarts") : 0;
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
