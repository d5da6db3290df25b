package io.github.tidewarden.control;

import io.github.tidewarden.dosing.Outlook;
import io.github.tidewarden.science.FirstOrder;
import io.github.tidewarden.science.LaggedFirstOrder;
import java.util.ArrayList;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;

/**
 * What doses have taught of one tank; survives.
 *
 * @param answers of the water and of each probe, by its name, oldest first, at most {@value #MOST}
 * @param firstMillis how long the last first dose was, ms; 0 for none
 * @param firstMicrovolts by how much it lifted the redox, µV
 */
public record Lessons(
    Map<String, List<LaggedFirstOrder>> answers, long firstMillis, long firstMicrovolts) {

  /** Most answers of a probe that are remembered; each is in every checkpoint. */
  static final int MOST = 14;

  /** Nothing yet. */
  static final Lessons NONE = new Lessons(Map.of(), 0, 0);

  private static final String ANSWERS = "answers";
  private static final String DEAD_MS = "dead-ms";
  private static final String FIRST_MS = "first-ms";
  private static final String FIRST_UV = "first-uv";
  private static final String LAG_MS = "lag-ms";
  private static final String RATE_PV_S = "rate-pv-s";
  private static final String TAU_MS = "tau-ms";

  private static final double PICOVOLTS = 1e9;
  private static final double MILLIS = 1e3;
  private static final double MICROVOLTS = 1e3;

  /** Copies the collections, sorted. */
  public Lessons {
    Map<String, List<LaggedFirstOrder>> copy = new TreeMap<>();
    answers.forEach((name, known) -> copy.put(name, List.copyOf(known)));
    answers = Collections.unmodifiableSortedMap(new TreeMap<>(copy));
  }

  /**
   * Whether water may answer ozone so: it rises, with a time constant of 1 s to 12 d. By one that
   * falls a dose would never come to an end that is foreseen.
   */
  static boolean isPlausible(FirstOrder water) {
    return water.gain() > 0
        && water.timeConstantSeconds() >= 1
        && water.timeConstantSeconds() <= 1e6
        && Math.round(water.ratePerSecond() * PICOVOLTS) > 0;
  }

  /** What each of these probes has taught, in their order. */
  List<List<LaggedFirstOrder>> of(List<String> probes) {
    return probes.stream().map(name -> answers.getOrDefault(name, List.of())).toList();
  }

  /** The last first dose. */
  Outlook.FirstDose first() {
    return new Outlook.FirstDose(firstMillis * 1_000_000, firstMicrovolts / MICROVOLTS);
  }

  /** After a record of what a dose has taught. */
  Lessons after(Fields record) {
    Map<String, List<LaggedFirstOrder>> next = new TreeMap<>(answers);
    record
        .map(Fields.PROBES)
        .forEach(
            (name, probe) -> {
              Fields taught = Fields.of(probe);
              if (taught.has(RATE_PV_S)) {
                List<LaggedFirstOrder> of =
                    new ArrayList<>(next.getOrDefault((String) name, List.of()));
                of.add(answer(taught));
                next.put((String) name, of.subList(Math.max(0, of.size() - MOST), of.size()));
              }
            });
    return record.flag(Fields.FIRST)
        ? new Lessons(next, record.count(Fields.RAN_MS), record.count(Fields.RISE_UV))
        : new Lessons(next, firstMillis, firstMicrovolts);
  }

  private static LaggedFirstOrder answer(Fields fields) {
    double tau = fields.count(TAU_MS) / MILLIS;
    double rate = fields.count(RATE_PV_S) / PICOVOLTS;
    return new LaggedFirstOrder(
        new FirstOrder(rate * tau, tau, fields.count(DEAD_MS) / MILLIS),
        fields.count(LAG_MS) / MILLIS);
  }

  /** An answer as it is recorded: pV/s for each mg/h, and ms. */
  static Map<String, Object> fields(LaggedFirstOrder answer) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(RATE_PV_S, Math.round(answer.water().ratePerSecond() * PICOVOLTS));
    fields.put(TAU_MS, Math.round(answer.water().timeConstantSeconds() * MILLIS));
    fields.put(DEAD_MS, Math.round(answer.water().deadTimeSeconds() * MILLIS));
    fields.put(LAG_MS, Math.round(answer.lagSeconds() * MILLIS));
    return fields;
  }

  /** For a checkpoint. */
  Map<String, Object> fields() {
    Map<String, Object> of = new LinkedHashMap<>();
    answers.forEach((name, known) -> of.put(name, known.stream().map(Lessons::fields).toList()));
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(ANSWERS, of);
    fields.put(FIRST_MS, firstMillis);
    fields.put(FIRST_UV, firstMicrovolts);
    return fields;
  }

  /** From a checkpoint. */
  static Lessons read(Fields fields) {
    Map<String, List<LaggedFirstOrder>> answers = new TreeMap<>();
    fields
        .map(ANSWERS)
        .forEach(
            (name, known) ->
                answers.put(
                    (String) name,
                    ((List<?>) known).stream().map(one -> answer(Fields.of(one))).toList()));
    return new Lessons(answers, fields.count(FIRST_MS), fields.count(FIRST_UV));
  }
}
