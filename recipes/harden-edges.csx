#load "snippets/printing.csx"

Recipe.Title("Harden soft edges");
Recipe.Purpose("Partly transparent pixels print as a speckle of underbase. Makes each of them opaque or bare, lays them on the garment's color, or turns them into an even pattern of opaque dots; soft shadows, glows and fades are told from edges.");
Recipe.Version(3);
Recipe.Example("recipes dry-run harden-edges puffin-cut.png --set as=dots");

var threshold = Param.Percent("threshold", 50, help: "With as=solid, opaque from this alpha on, bare below");
var how = Param.Choice("as", ["solid", "garment", "dots"], help: "solid makes edges hard; garment mixes with the garment's color; dots keeps tones as a pattern");
var zones = Param.Choice("soft", ["ask", "dots", "garment", "solid"], help: "With as=solid, soft zones wider than an edge: ask makes dots of them and asks, solid cuts them like edges");
var border = Param.Length("border", "0mm", help: "Fade the straight border of what prints out over so much, as a pattern of dots; 0 leaves it");

var soft = Art.Find.PartlyTransparent();
var all = soft.Threshold(0);
var wide = Art.Find.SoftZones();
var zone = how == "solid" ? wide.All : all.Except(all);
var edge = soft.Except(zone.Threshold(0));

var onGarment = how == "garment" ? all : zones == "garment" ? zone.Threshold(0) : all.Except(all);
var opaque = (how switch { "dots" => edge.Dots(), "garment" => onGarment, _ => edge.Threshold(threshold) })
    .Union(zones switch { "garment" => onGarment, "solid" => zone.Threshold(threshold), _ => zone.Dots() });
Report.Note($"{all.Count:#,0} pixels are partly transparent; {opaque.Count:#,0} become opaque, {all.Count - opaque.Count:#,0} bare.");
if (how == "solid" && wide.Question(zones) is { } question)
{
    Report.Note($"{zone.Count:#,0} of them lie in soft zones wider than an edge: {zones switch { "garment" => "mixed with the garment's color", "solid" => "cut like edges", _ => "made a pattern of dots" }}.");
    Report.Ask(question);
}

var faded = all.Except(all);
if (border > 0 && Printing().Bounds is { } box)
{
    double ramp = Math.Min(border, Math.Min(box.Width, box.Height) / 2.0);
    faded = Printing().Except(Art.Find.Outside(box.Grow(-(int)Math.Round(ramp / 2))).Complement().Soften(ramp).Dots());
    Report.Note($"The border fades out over {ramp / Art.PixelsPerInch * 25.4:0.#} mm: {faded.Count:#,0} pixels of it are left bare.");
}

Art.LayOnGarment(onGarment, layer: "laid on the garment");
Art.MakeOpaque(opaque.Except(onGarment), layer: "hardened edges");
Art.LeaveBare(all.Except(opaque).Union(faded), layer: "bare edges");
