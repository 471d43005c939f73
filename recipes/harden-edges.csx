Recipe.Title("Harden soft edges");
Recipe.Purpose("Partly transparent pixels print as a speckle of underbase. Makes each of them opaque or bare, lays them on the garment's color, or turns them into an even pattern of opaque dots.");
Recipe.Version(1);
Recipe.Example("recipes dry-run harden-edges puffin-cut.png --set as=dots");

var threshold = Param.Percent("threshold", 50, help: "With as=solid, opaque from this alpha on, bare below");
var how = Param.Choice("as", ["solid", "garment", "dots"], help: "solid makes edges hard; garment mixes with the garment's color; dots keeps tones as a pattern");

var soft = Art.Find.PartlyTransparent();
var all = soft.Threshold(0);
var kept = how switch { "dots" => soft.Dots(), "garment" => all, _ => soft.Threshold(threshold) };
Report.Note($"{all.Count:#,0} pixels are partly transparent; {kept.Count:#,0} become opaque, {all.Count - kept.Count:#,0} bare.");
if (how == "garment")
    Art.LayOnGarment(kept, layer: "laid on the garment");
else
    Art.MakeOpaque(kept, layer: "hardened edges");
Art.LeaveBare(all.Except(kept), layer: "bare edges");
