using System.Globalization;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Checks;

/// <summary>What is drawn too finely or too softly for ink on cloth, or stands where nobody drew.</summary>
internal static class FineFindings
{
    // The defaults of remove-specks; a finding is what the recipe would change.
    private const string SpeckArea = "0.06mm2", SpeckAreaInWords = "0.06 mm2";

    // Common practice, no source: thinner lines break up, and thinner gaps close.
    private const double ThinMillimeters = 0.3;

    // Levels from the garment's color up to which ink is hardly seen.
    private const int Hardly = 23;

    public static void Strokes(Found found, Looked looked)
    {
        var (flat, setup, ppi) = (looked.Art.Flat, looked.Setup, looked.Ppi);
        double thin = ThinMillimeters / 25.4 * ppi;
        var seen = Find.Seen(flat, setup, Hardly);
        var lines = Find.ThinParts(seen, thin);
        var type = Find.SmallType(flat, seen, thin, ppi / 25.4);
        lines = type is null ? lines : lines.Union(type.Region);
        if (!lines.IsEmpty)
        {
            string letters = type is null ? "" : $" {Numeral.Of(type.Count)} letters or marks, most {Length(type.Height)} high or less, are drawn in "
                + $"strokes of about {Length(type.Stroke)}.";
            found.Add("thin-lines", lines, null,
                $"in lines thinner than {Found.Millimeters(ThinMillimeters)}, which may break up on cloth.{letters} Print a test, or ask for bolder art.");
        }

        var gaps = Find.ThinParts(seen.Complement(), thin).Islands(diagonal: true).Pick(gap =>
            gap.Bounds is { X: > 0, Y: > 0 } inside && inside.Right < flat.Width && inside.Bottom < flat.Height);
        if (!gaps.IsEmpty)
        {
            found.Add("thin-gaps", gaps, null,
                $"in gaps thinner than {Found.Millimeters(ThinMillimeters)}, which may close on cloth. Print a test, or ask for more open art.");
        }

        // At the printed size, in the two units that type is told in.
        string Length(double px) => string.Create(CultureInfo.InvariantCulture, $"{px / ppi * 25.4:0.0#} mm ({px / ppi * 72:0.#} pt)");
    }

    // The judgment of remove-specks, at the resolution at which it would run, and all that it would change: a pinhole's mixes go with it.
    public static Region Specks(Found found, Looked looked)
    {
        var (art, setup, decisions) = looked;
        var dirt = Find.Dirt(art.Flat, setup.Ink, Measure.Area(SpeckArea, looked.Ppi)!.Value);
        if (!dirt.Specks.IsEmpty || !dirt.Pinholes.IsEmpty)
        {
            string[] kinds = [.. new[] { (dirt.Specks.Islands(diagonal: true).Count, Noun: "speck"), (dirt.Pinholes.Islands().Count, Noun: "pinhole") }
                .Where(kind => kind.Count > 0).Select(kind => Found.Count(kind.Count, kind.Noun))];
            found.Add("specks", dirt.Specks.Union(HoleFill.Filled(art.Flat, dirt.Pinholes, setup.Ink)), "remove-specks",
                $"in {string.Join(" and ", kinds)} standing alone, each below {SpeckAreaInWords}.");
        }

        // The dots that harden-edges makes of a soft zone are meant.
        if (decisions.StepOf("harden-edges") is null && dirt.PatternQuestion("ask") is { } question)
        {
            found.Questions.Add(AskedQuestion.Of(question, "remove-specks", 0));
        }

        return dirt.Specks;
    }

    // Alpha is the author's word, and prints as it is: what is made of a soft zone is asked where harden-edges is to run, not here.
    public static void Soft(Found found, Looked looked)
    {
        var (flat, printed) = (looked.Art.Flat, looked.Printed);
        var soft = Find.PartlyTransparent(flat).Threshold(0).Intersect(printed);
        if (soft.IsEmpty)
        {
            return;
        }

        long wide = Find.SoftZones(flat, looked.Setup).All.Threshold(0).Intersect(printed).Count;
        string where = wide == 0 ? "all at soft edges"
            : string.Create(CultureInfo.InvariantCulture,
                $"{soft.Count - wide:N0} px at soft edges, {wide:N0} px in wide soft zones such as shadows, glows and fades");
        found.Add("partly-transparent", soft, "harden-edges",
            string.Create(CultureInfo.InvariantCulture,
                $"partly transparent, {100.0 * soft.Count / printed.Count:0.0}% of what prints, will print as a speckle of underbase; {where}."));
    }
}
