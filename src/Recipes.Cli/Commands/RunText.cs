using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Cli.Commands;

/// <summary>A run's report in sentences for the terminal.</summary>
internal static class RunText
{
    private const int MostRows = 20;

    /// <summary>A day, the same in every culture.</summary>
    public static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    public static void Write(TextWriter text, RunReport report)
    {
        text.WriteLine($"{report.Recipe.Name} (version {report.Recipe.Version}) on {report.Art.Path}: {report.Recipe.Title}");
        Art(text, report.Art, report.Setup);
        text.WriteLine($"  setup     {report.Setup.Name}{(report.SetupIsFallback ? " (nobody chose one; name yours with --setup)" : "")}");
        if (report.Parameters.Count > 0)
        {
            text.WriteLine(
                $"  with      {string.Join(", ", report.Parameters.Select(pair => $"{pair.Key}={(pair.Value.Length == 0 ? "none" : pair.Value)}"))}");
        }

        text.WriteLine($"  ink       {LostAndGained(report)}");
        text.WriteLine(report.Changed switch
        {
            null => "  changed   the size",
            { Pixels: 0 } => report.ChangesNothing
                ? "  changed   nothing"
                : report.Change.White is null ? "  changed   the resolution" : "  changed   no color",
            var changed => $"  changed   {Numeral.Of(changed.Pixels)} px in the box {changed.Box}, by at most {Numeral.Of(changed.LargestDelta)} "
                + $"{(changed.LargestDelta == 1 ? "level" : "levels")}",
        });
        if (report.Change.White is { } white)
        {
            text.WriteLine($"  white     {Numeral.Of(white)} px get white ink");
        }

        if (report.Change.Resolution is not null)
        {
            text.WriteLine(Resolutions(report, "  ppi       ", " before, ") + " after");
        }

        foreach (string note in report.Notes)
        {
            text.WriteLine($"  note      {note}");
        }

        foreach (var list in report.Regions)
        {
            Regions(text, list, report.Setup.ResolutionFor(report.Art.Width, report.Art.Height, report.Art.PixelsPerInch));
        }

        foreach (var list in report.Colors)
        {
            Colors(text, list);
        }

        Questions(text, report.Questions, question => $"--set {question.Setting(!report.Steps.IsEmpty)}");
        if (string.Join(", ", report.Loosened) is { Length: > 0 } loosened)
        {
            text.WriteLine($"  guards    loosened for this run: {loosened} let everything pass");
        }

        Guards(text, report.Guards);
    }

    /// <summary>What prints no longer and what prints now, in area and pixels; how much prints where the size changed.</summary>
    public static string LostAndGained(RunReport report)
    {
        double ppi = report.Setup.ResolutionFor(report.Art.Width, report.Art.Height, report.Art.PixelsPerInch);
        string prints = $"{Numeral.Of(report.Ink.Before.Prints)} px before, {Numeral.Of(report.Ink.After.Prints)} after";
        return report.Changed is null ? prints : $"{Part(report.Ink.Lost)} lost, {Part(report.Ink.Gained)} gained; {prints}";

        string Part(long pixels) => pixels == 0 ? "none" : $"{Measure.InWords(pixels, ppi)} ({Numeral.Of(pixels)} px)";
    }

    /// <summary>What a check finds of what a list left.</summary>
    public static void Left(TextWriter text, IEnumerable<Finding>? findings)
    {
        foreach (var finding in findings ?? [])
        {
            text.WriteLine($"  left      {finding.Code}: {finding.Message}{(finding.Recipe is null ? "" : $" {finding.Recipe} is for that.")}");
        }
    }

    /// <summary>Open questions with what is done unless they are answered and how to answer; then those that are decided.</summary>
    public static void Questions(TextWriter text, IEnumerable<AskedQuestion> questions, Func<AskedQuestion, string> how)
    {
        foreach (var question in questions.OrderBy(question => question.Decision is not null))
        {
            string where = question.Box is { } box ? $" (box {box})" : "";
            text.WriteLine(question.Decision is { } decision ? $"  decided   {question.Message}{where} {decision}." : $"  question  {question.Message}{where}");
            if (question.Decision is null)
            {
                text.WriteLine($"            Unless answered: {question.Proposal}. To say otherwise: {how(question)}");
            }
        }
    }

    /// <summary>What a run changed, in a few words.</summary>
    public static string Changed(RunReport report) => (report.Changed, report.Change) switch
    {
        _ when report.Recipe == RecipeIdentity.None => "as it was kept",
        (null, _) => "the size changed",
        ({ Pixels: 0 }, { White: { } white }) => $"{Numeral.Of(white)} px get white ink",
        ({ Pixels: 0 }, { Resolution: not null }) => "the resolution changed",
        (var changed, _) => $"{Numeral.Of(changed.Pixels)} px changed",
    };

    /// <summary>Both resolutions where they differ, else nothing.</summary>
    public static string Resolutions(RunReport report, string first, string between)
    {
        return report.Change.Resolution is { } change ? $"{first}{Stated(change.Before)}{between}{Stated(change.After)}" : "";

        static string Stated(double? resolution) => resolution is { } ppi ? $"{Numeral.Of(ppi)} ppi" : "none stated";
    }

    public static void Art(TextWriter text, ArtIdentity art, GarmentSetup setup)
    {
        text.WriteLine($"  art       {art.Format}, {art.Width} x {art.Height} px, {ResolutionInWords.Of(art, setup)}");
        foreach (string note in art.Notes)
        {
            text.WriteLine($"            {note}");
        }
    }

    public static void Ink(TextWriter text, InkCount ink)
    {
        text.WriteLine($"  prints    {Numeral.Of(ink.Prints)} px");
        text.WriteLine($"  bare      {Numeral.Of(ink.BareWhite)} px pure white, {Numeral.Of(ink.BareBlack)} px pure black, "
            + $"{Numeral.Of(ink.Transparent)} px transparent");
    }

    /// <summary>Main colors with their printed areas and their part of all that prints.</summary>
    public static void MainColors(TextWriter text, ColorAreas? colors, double ppi)
    {
        foreach (var (i, color) in (colors?.Colors ?? []).Index())
        {
            string area = Measure.InWords(color.Pixels, ppi);
            text.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"  {(i == 0 ? "colors" : ""),-8}  {color.Color}  {area,14}  {100 * color.Share,5:0.0}% of what prints"));
        }
    }

    public static void Regions(TextWriter text, ReportedRegions list, double ppi, bool decided = true)
    {
        string chosen = decided ? $", {Numeral.Of(list.Regions.Count(region => region.Chosen))} chosen" : "";
        text.WriteLine($"  {list.Title}: {Regions(list.Regions.Length)}{chosen}");
        if (list.Regions.Length > 0)
        {
            text.WriteLine("    number      size px          mm2   box x,y,w,h");
        }

        // The largest are the ones that a decision is about; the report holds them all.
        foreach (var region in list.Regions.OrderByDescending(region => region.Pixels).Take(MostRows).OrderBy(region => region.Number))
        {
            double area = region.Pixels * 25.4 * 25.4 / (ppi * ppi);
            text.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"    {(decided && region.Chosen ? "*" : " ")}{region.Number,5}  {region.Pixels,11:N0}  {area,11:0.00}   {region.Box}"));
        }

        if (list.Regions.Length > MostRows)
        {
            text.WriteLine($"    … and {Numeral.Of(list.Regions.Length - MostRows)} smaller ones");
        }
    }

    private static string Regions(int count) => count == 1 ? "1 region" : $"{Numeral.Of(count)} regions";

    private static void Colors(TextWriter text, ReportedColors list)
    {
        text.WriteLine($"  {list.Title}: {(list.Colors.Length == 0 ? "none" : "")}");
        foreach (var color in list.Colors)
        {
            text.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"    {color.Color}  {color.Color.R,3},{color.Color.G,3},{color.Color.B,3}  {color.Pixels,11:N0} px"));
        }

        if (list.Others > 0)
        {
            text.WriteLine($"    … and {Numeral.Of(list.Others)} more");
        }
    }

    private static void Guards(TextWriter text, IReadOnlyList<GuardResult> guards)
    {
        var tripped = guards.Where(guard => guard.Outcome != GuardOutcome.Clear).ToList();
        if (tripped.Count == 0)
        {
            text.WriteLine("  guards    all clear");
        }

        foreach (var guard in tripped)
        {
            text.WriteLine($"  guard     {guard.Name} {EnumWord.Of(guard.Outcome)}: {guard.Why}");
        }
    }
}
