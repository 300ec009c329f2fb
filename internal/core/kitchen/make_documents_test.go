package kitchen_test

import (
	"strconv"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
)

// piecesDoc is the test kitchen's procedure, at a version: tub, drain, pans, load, trays.
func piecesDoc(version uint32) entry.Document {
	return document(kitchen.WhatProcedure, "pieces", version, pieces)
}

// equipmentDoc is what stands in the test kitchen: two fryers, a cold room, a hold cabinet.
func equipmentDoc(version uint32) entry.Document {
	return document(kitchen.WhatEquipment, "kitchen", version, equipment)
}

// openingDoc is the test kitchen's opening list.
func openingDoc(version uint32) entry.Document {
	return document(kitchen.WhatList, "opening", version, opening)
}

func document(what, name string, version uint32, text string) entry.Document {
	text = strings.Replace(text, `"version": 1`, `"version": `+strconv.Itoa(int(version)), 1)
	return entry.Document{What: what, Name: name, Version: version, Text: text}
}

const pieces = `{
  "format": "brinebell procedure 1",
  "name": "pieces",
  "version": 1,
  "title": {"en": "Pieces", "es": "Piezas"},
  "item": {"en": "pieces", "es": "piezas"},
  "piece": "150 g",
  "counted": "pieces",
  "mix": {"meatPerWater": "1.5 kg/L", "concentratePerWater": "60 mL/L", "tub": "16 kg", "tubHolds": "28 L"},
  "receiving": {"warmth": {"max": "5 Cel", "source": {"en": "made up", "es": "inventado"}, "critical": true},
    "unit": {"min": "1200 g", "max": "1400 g", "source": {"en": "made up", "es": "inventado"}}},
  "stages": [
    {
      "name": "marinate", "kind": "wait",
      "title": {"en": "Marinade", "es": "Marinado"},
      "act": {"en": "Start the marinade", "es": "Empezar el marinado"},
      "doing": {"en": "marinating", "es": "marinando"},
      "vessel": "tub", "equipment": "cold room", "raw": true,
      "mark": {"use": {"en": "Coat by", "es": "Empanar antes de"}},
      "window": {"floor": "PT7H", "best": {"from": "PT9H", "until": "PT13H"}, "lastCall": "PT30M", "ceiling": "PT20H",
        "patience": "PT10M"},
      "override": true
    },
    {
      "name": "drain", "kind": "wait",
      "title": {"en": "Drain", "es": "Escurrido"},
      "act": {"en": "Drain the tub", "es": "Escurrir la cubeta"},
      "doing": {"en": "draining", "es": "escurriendo"},
      "vessel": "tub", "equipment": "cold room", "raw": true,
      "window": {"floor": "PT45M", "ceiling": "PT4H", "patience": "PT5M"},
      "override": true,
      "steps": [
        {"name": "pour", "kind": "do", "text": {"en": "Pour it off", "es": "Vaciar"}},
        {"name": "colour", "kind": "ask", "text": {"en": "Even colour?", "es": "¿Color parejo?"},
          "ifNot": {"en": "Call the lead.", "es": "Llamar al jefe."}},
        {"name": "look", "kind": "do", "text": {"en": "Look at the drain", "es": "Mirar el desagüe"}, "optional": true}
      ]
    },
    {
      "name": "set", "kind": "wait",
      "title": {"en": "Set cold", "es": "Asentado"},
      "act": {"en": "Coat into pans", "es": "Empanar en fuentes"},
      "doing": {"en": "setting", "es": "asentándose"},
      "vessel": "pan", "equipment": "cold room", "raw": true,
      "mark": {"use": {"en": "Fry by", "es": "Freír antes de"}},
      "enter": {"most": "8 kg", "pieces": 48, "counted": true},
      "window": {"floor": "PT45M", "best": {"from": "PT1H", "until": "PT4H"}, "lastCall": "PT20M", "ceiling": "PT12H",
        "patience": "PT10M"}
    },
    {
      "name": "cook", "kind": "wait",
      "title": {"en": "Cook", "es": "Fritura"},
      "act": {"en": "Load the fryer", "es": "Cargar la freidora"},
      "doing": {"en": "cooking", "es": "friendo"},
      "vessel": "load", "equipment": "fryer", "pressure": true,
      "enter": {"part": true, "pieces": 48},
      "window": {"floor": "PT10M", "best": {"from": "PT11M", "until": "PT12M"}, "lastCall": "PT20S", "ceiling": "PT13M",
        "aim": "PT11M30S", "patience": "PT1M", "hardFloor": true},
      "override": true,
      "caution": {"hazards": ["hot oil", "pressure"], "title": {"en": "Hot oil, pressure", "es": "Aceite, presión"},
        "lines": [{"en": "Lid shut until the gauge reads zero.", "es": "Tapa cerrada hasta que marque cero."}]},
      "steps": [
        {"name": "lid", "kind": "do", "text": {"en": "Gauge reads zero, open the lid", "es": "Marca cero, abrir"},
          "critical": true},
        {"name": "core", "kind": "read", "text": {"en": "Core of the thickest piece", "es": "Centro de la más gruesa"},
          "unit": "Cel", "critical": true, "ifNot": {"en": "Cook on.", "es": "Freír más."},
          "limit": {"min": "75 Cel", "source": {"en": "House rule", "es": "Regla"}, "hard": true}},
        {"name": "done", "kind": "count", "text": {"en": "Pieces out", "es": "Piezas fuera"}, "optional": true,
          "ifNot": {"en": "Look in the oil.", "es": "Mirar en el aceite."},
          "limit": {"max": "48 1", "source": {"en": "House rule", "es": "Regla"}}}
      ]
    },
    {
      "name": "stage", "kind": "work",
      "title": {"en": "Stage", "es": "Reposo"},
      "act": {"en": "Count into trays", "es": "Contar en bandejas"},
      "doing": {"en": "resting", "es": "reposando"},
      "vessel": "tray",
      "enter": {"pieces": 24, "counted": true},
      "window": {"ceiling": "PT5M", "patience": "PT1M"},
      "override": true
    },
    {
      "name": "hold", "kind": "hold",
      "title": {"en": "Hold", "es": "Venta"},
      "act": {"en": "Into the cabinet", "es": "Al armario"},
      "doing": {"en": "for sale", "es": "a la venta"},
      "vessel": "tray", "equipment": "hold cabinet",
      "mark": {"use": {"en": "Serve by", "es": "Servir antes de"}},
      "window": {"ceiling": "PT1H", "patience": "PT3M", "hard": true}
    }
  ],
  "reasons": [{"en": "Past its limit", "es": "Pasado de límite"}]
}`

const equipment = `{
  "format": "brinebell equipment 1",
  "name": "kitchen",
  "version": 1,
  "devices": [
    {"name": "fryer-1", "kind": "fryer", "title": {"en": "Fryer 1", "es": "Freidora 1"}, "single": true, "most": "8 kg",
      "pieces": 48, "between": "PT4M", "reading": {"what": {"en": "oil", "es": "aceite"}, "unit": "Cel",
        "min": "164 Cel", "max": "174 Cel", "source": {"en": "House rule", "es": "Regla"}, "every": "PT2H",
        "checked": true}},
    {"name": "fryer-2", "kind": "fryer", "title": {"en": "Fryer 2", "es": "Freidora 2"}, "single": true, "most": "8 kg",
      "pieces": 48, "between": "PT4M", "reading": {"what": {"en": "oil", "es": "aceite"}, "unit": "Cel",
        "min": "164 Cel", "max": "174 Cel", "source": {"en": "House rule", "es": "Regla"}, "every": "PT2H",
        "checked": true}},
    {"name": "cold-room", "kind": "cold room", "title": {"en": "Cold room", "es": "Cámara"}, "most": "180 kg",
      "reading": {"what": {"en": "air", "es": "aire"}, "unit": "Cel", "max": "4 Cel",
        "source": {"en": "House rule", "es": "Regla"}, "every": "PT4H"}},
    {"name": "cabinet", "kind": "hold cabinet", "title": {"en": "Cabinet", "es": "Armario"}, "pieces": 200,
      "reading": {"what": {"en": "air", "es": "aire"}, "unit": "Cel", "min": "57 Cel",
        "source": {"en": "House rule", "es": "Regla"}, "every": "PT2H"}}
  ],
  "boats": ["06:40", "12:05"],
  "altitude": "310 m",
  "probes": [{"name": "p1", "title": {"en": "Red probe", "es": "Sonda roja"}, "every": "P7D"},
    {"name": "p2", "title": {"en": "Blue probe", "es": "Sonda azul"}, "unit": "[degF]"}]
}`

const opening = `{
  "format": "brinebell list 1",
  "name": "opening",
  "version": 1,
  "title": {"en": "Opening", "es": "Apertura"},
  "opens": "05:00",
  "due": "06:15",
  "patience": "PT10M",
  "steps": [
    {"name": "hands", "kind": "do", "text": {"en": "Wash hands", "es": "Lavarse las manos"}},
    {"name": "cold", "kind": "read", "text": {"en": "Cold room air", "es": "Aire de la cámara"}, "unit": "Cel",
      "ifNot": {"en": "Call the lead.", "es": "Llamar al jefe."},
      "limit": {"max": "4 Cel", "source": {"en": "House rule", "es": "Regla"}}},
    {"name": "sign", "kind": "sign", "text": {"en": "Sign", "es": "Firmar"}, "role": "lead"}
  ]
}`

// weighedDoc is a procedure without a mix whose pans must be weighed.
func weighedDoc() entry.Document { return document(kitchen.WhatProcedure, "weighed", 1, weighed) }

const weighed = `{
  "format": "brinebell procedure 1",
  "name": "weighed",
  "version": 1,
  "title": {"en": "Weighed", "es": "Pesado"},
  "item": {"en": "weighed", "es": "pesado"},
  "piece": "100 g",
  "counted": "portions",
  "stages": [
    {
      "name": "tub", "kind": "work", "title": {"en": "Tub", "es": "Cubeta"}, "act": {"en": "Start", "es": "Empezar"},
      "doing": {"en": "waiting", "es": "esperando"}, "vessel": "tub"
    },
    {
      "name": "hold", "kind": "hold", "title": {"en": "Hold", "es": "Venta"}, "act": {"en": "Into pans", "es": "A fuentes"},
      "doing": {"en": "for sale", "es": "a la venta"}, "vessel": "pan", "enter": {"weighed": true},
      "window": {"ceiling": "PT2H", "patience": "PT5M"}
    }
  ],
  "reasons": [{"en": "Past its limit", "es": "Pasado de límite"}]
}`
