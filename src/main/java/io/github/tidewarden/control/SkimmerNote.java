package io.github.tidewarden.control;

import java.util.LinkedHashMap;
import java.util.Map;

/** A skimmer was cleaned, tuned, or its cup emptied. */
record SkimmerNote(SkimmerWork work, String text) implements Deed {

  static SkimmerNote read(KeeperAct act) throws Deed.RefusedException {
    String word = act.said(Fields.SKIMMER);
    SkimmerWork work = SkimmerWork.named(word);
    if (work == null) {
      throw new Deed.RefusedException(
          "\"" + word + "\" is none of " + String.join(", ", SkimmerWork.words()));
    }
    return new SkimmerNote(work, act.text());
  }

  @Override
  public Deed.Recorded judge(Deed.Place place) throws Deed.RefusedException {
    TankSpec spec = place.tank().spec;
    if (spec.care().skimmer() == null) {
      throw new Deed.RefusedException(
          spec.name()
              + " has no skimmer by its configuration; declare it, `skimmer: { clean-after: 170 h"
              + " }`, or keep a remark in quotation marks");
    }
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.SKIMMER, work.word());
    if (work == SkimmerWork.CLEANED) {
      place
          .state()
          .skimmer()
          .lastHour(place.now())
          .put(fields, Fields.AIR_BEFORE, Fields.REDOX_BEFORE);
    }
    return new Deed.Recorded(
        Fields.SKIMMER,
        text,
        "noted that the skimmer was " + work.word() + Deed.because(text),
        fields);
  }
}
