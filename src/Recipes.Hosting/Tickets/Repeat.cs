using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Tickets;

/// <summary>Something that matters to a print and isn't as it was at the last good one.</summary>
/// <param name="What">What it is, for instance <c>ink lot</c>.</param>
/// <param name="Was">As it was printed.</param>
/// <param name="Now">As it is.</param>
public sealed record PrintChange(string What, string Was, string Now);

/// <summary>
/// What earlier prints say about the next one. The same pixels aren't the same print: where a lot, the pretreatment, the chart or
/// the art changed since the last good one, a test comes first.
/// </summary>
/// <param name="LastGood">The last good print under this setup, else the latest under any; null where there is none.</param>
/// <param name="BadSince">The latest print after it, or of all where none was good, if it was bad; else null.</param>
/// <param name="Changes">What changed since the last good print.</param>
/// <param name="Affected">The main colors that the changes can shift.</param>
public sealed record Repeat(EarlierPrint? LastGood, EarlierPrint? BadSince, ImmutableArray<PrintChange> Changes, ImmutableArray<MainColor> Affected)
{
    // CIEDE2000 up to which a color of the earlier art is the same one: where an eye begins to see it.
    private const double Same = 1;

    /// <summary>True where a test print must come first.</summary>
    public bool TestFirst => !Changes.IsEmpty || BadSince is not null;

    /// <summary>
    /// What a setup doesn't note, so that nobody can tell whether it changed: <c>ink lot</c>, <c>pretreatment</c>,
    /// both with a comma, or nothing.
    /// </summary>
    public static string Unnoted(GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return string.Join(", ", new[] { (setup.InkLot, What: "ink lot"), (setup.Pretreatment, What: "pretreatment") }
            .Where(lot => string.IsNullOrWhiteSpace(lot.Item1)).Select(lot => lot.What));
    }

    /// <summary>Compares a state with the prints that its work file remembers.</summary>
    /// <param name="state">The state, under the setup that it is to be printed with.</param>
    /// <param name="colors">Its main colors.</param>
    /// <exception cref="Problems.ProblemException">R3009 the work file is damaged; R1007 a setup that it keeps is.</exception>
    public static Repeat Of(ArtState state, ImmutableArray<MainColor> colors)
    {
        ArgumentNullException.ThrowIfNull(state);
        string name = state.Setup.Name;
        var lines = state.Work is { } work ? work.Setups.Select(work.Line).Where(line => !line.Prints.IsEmpty).ToArray() : [];
        var line = lines.FirstOrDefault(known => known.Setup == name && known.Prints.Any(print => print.IsGood))
            ?? lines.Where(known => known.Prints.Any(print => print.IsGood)).MaxBy(known => known.Prints.Last(print => print.IsGood).At)
            ?? lines.FirstOrDefault(known => known.Setup == name) ?? lines.FirstOrDefault();
        if (line is null)
        {
            return new Repeat(null, null, [], []);
        }

        var bad = line.Prints[^1] is { IsGood: false } last ? new EarlierPrint(line.Setup, last) : null;
        if (line.Prints.LastOrDefault(print => print.IsGood) is not { } good)
        {
            return new Repeat(null, bad, [], colors);
        }

        var changes = ImmutableArray.CreateBuilder<PrintChange>();
        if (line.Setup != name)
        {
            changes.Add(new PrintChange("garment setup", line.Setup, name));
        }

        var then = SetupJson.Read(Encoding.UTF8.GetBytes(good.SetupJson), $"{line.Setup} (kept in the work file)", line.Setup);
        changes.AddRange(Matters(then).Zip(Matters(state.Setup))
            .Where(pair => pair.First.Value != pair.Second.Value)
            .Select(pair => new PrintChange(pair.First.What, pair.First.Value, pair.Second.Value)));
        var affected = changes.Count > 0 || bad is not null ? colors : [];
        if (line.Setup != name || good.Step != state.Step || state.Work!.Original.Sha256 != state.File.Sha256)
        {
            var printed = state.Work!.Read(line.Setup, good.Step);
            changes.AddRange(Differences(printed, good.Step, state));
            if (affected.IsEmpty)
            {
                Lab[] known = [.. MainColors.Of(printed.Flat, then.Ink, 64).Colors.Select(color => LabSpace.D50.Of(color.Color))];
                affected = [.. colors.Where(color => !known.Any(lab => Math.Round(Ciede2000.Difference(lab, LabSpace.D50.Of(color.Color)), 6) <= Same))];
            }
        }

        return new Repeat(new EarlierPrint(line.Setup, good), bad, changes.ToImmutable(), affected);
    }

    // The fields that reach the garment. Name, margin, ink constants and how bared pixels are written don't.
    private static IEnumerable<(string What, string Value)> Matters(GarmentSetup setup)
    {
        yield return ("garment", setup.Garment.ToString());
        yield return ("ink lot", setup.InkLot ?? "none noted");
        yield return ("pretreatment", setup.Pretreatment ?? "none noted");
        yield return ("chart", setup.Chart is { } chart ? $"{chart.File}, {chart.Date ?? "no date"}" : "none noted");
        yield return ("chart's hash", setup.Chart?.Sha256?.ToLowerInvariant() ?? "none noted");
        yield return ("stays bare", SetupWords.Bare(setup.Ink));
        yield return ("brightest white", setup.Ink.BrightestWhite.ToString());
        yield return ("darkest black", setup.Ink.DarkestBlack.ToString());
        yield return ("underbase", SetupWords.WhoLays(setup.Underbase));
        yield return ("platen", string.Create(CultureInfo.InvariantCulture, $"{setup.PlatenWidth:0.##} x {setup.PlatenHeight:0.##} in"));
        yield return ("resolution", string.Create(CultureInfo.InvariantCulture, $"{setup.PixelsPerInch:0.##} ppi"));
    }

    private static IEnumerable<PrintChange> Differences(Artwork printed, int step, ArtState state)
    {
        var now = state.Art;
        if (state.Work!.Original.Sha256 != state.File.Sha256)
        {
            yield return new PrintChange("original", state.Work.Original.Sha256, state.File.Sha256);
        }

        if ((printed.Width, printed.Height, printed.PixelsPerInch) != (now.Width, now.Height, now.PixelsPerInch))
        {
            yield return new PrintChange("size", Size(printed), Size(now));
        }
        else if (ArtworkDiff.Between(printed.Flat, now.Flat) is { Pixels: > 0 } difference)
        {
            yield return new PrintChange("art", Step(step), $"{Step(state.Step)}; {Numeral.Of(difference.Pixels)} px differ");
        }

        if (!printed.LaysSameWhite(now))
        {
            yield return new PrintChange("file's underbase", Step(step), Step(state.Step));
        }

        static string Step(int number) => number == 0 ? "the original" : $"step {Numeral.Plain(number)}";

        static string Size(Artwork art) =>
            $"{Numeral.Plain(art.Width)} x {Numeral.Plain(art.Height)} px{(art.PixelsPerInch is { } ppi ? $" at {Numeral.Of(ppi)} ppi" : "")}";
    }
}
