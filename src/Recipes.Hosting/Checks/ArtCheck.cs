using System.Collections.Immutable;
using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Checks;

/// <summary>What <c>check</c> says about an art under a garment setup.</summary>
/// <param name="Ink">What prints and what stays bare.</param>
/// <param name="EffectivePpi">Pixels of the art as it came per printed inch: what it has of detail, however often it was resampled since.</param>
/// <param name="Findings">What may go wrong, each with the recipe that mends it.</param>
/// <param name="EnclosedWhites">The numbered regions of pure white that art surrounds.</param>
/// <param name="InkBox">The smallest box around what prints, or null where nothing does.</param>
public sealed record ArtCheck(InkCount Ink, double EffectivePpi, ImmutableArray<Finding> Findings, ReportedRegions EnclosedWhites, Box? InkBox)
{
    /// <summary>How much ink the print takes, estimated; null where the setup has no ink constants.</summary>
    public InkEstimate? Estimate { get; init; }

    /// <summary>Pixels per printed inch, which every size is measured at: <see cref="GarmentSetup.ResolutionFor"/>.</summary>
    public required double PrintPpi { get; init; }

    /// <summary>
    /// Pixels of the art as it came per inch if what is drawn were printed as large as the platen inside its safe margin takes, as <c>fit-to-platen</c>
    /// makes it.
    /// </summary>
    public double PlatenPpi { get; init; }

    /// <summary>What the figure lies on, as it was judged on the art as it came.</summary>
    public required Ground Ground { get; init; }

    /// <summary>What somebody must say, as the recipes would ask it.</summary>
    public ImmutableArray<AskedQuestion> Questions { get; init; } = [];

    /// <summary>What the kept steps have decided already.</summary>
    public ImmutableArray<AskedQuestion> Decided { get; init; } = [];

    /// <summary>How many enclosed white regions there are; the list holds the largest of them.</summary>
    public required int EnclosedWhiteCount { get; init; }

    /// <summary>What the art is mainly printed in, and the area of each color; counted once it is asked for, as a list of recipes never does.</summary>
    public ColorAreas? Colors => ColorsWhenAsked?.Value;

    /// <summary>The pure white that art surrounds, whether it prints or not; null where nobody looked for it.</summary>
    public Region? Surrounded => SurroundedWhenAsked?.Value;

    /// <summary>The pure white that runs off the picture and holds no corner of it.</summary>
    public Region? RunsOff => RunsOffWhenAsked?.Value;

    private Lazy<ColorAreas>? ColorsWhenAsked { get; init; }

    private Lazy<Region>? SurroundedWhenAsked { get; init; }

    private Lazy<Region>? RunsOffWhenAsked { get; init; }

    private const string EnclosedWhite = Find.EnclosedWhite, NearWhite = Find.NearWhiteBackground;

    /// <summary>The default of printable-whites; a finding is what the recipe would change.</summary>
    internal const int Near = 24;

    /// <summary>Checks a state of an art; of a test print of ours, bare white between its prints is no question.</summary>
    public static ArtCheck Of(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        var check = Of(state.Art, state.Setup, Decisions.Of(state), KindHint.Read(state.Provenance));
        return TestSheet.Of(state) is not { } sheet ? check : check with
        {
            // Where a print was cut off, its paper is surrounded and its printable white lies beside bare ground; a sheet is never mended.
            Findings = [.. check.Findings.Select(finding => finding.Code switch
            {
                EnclosedWhite => finding with
                {
                    Message = $"{Numeral.Of(finding.Pixels)} px of pure white are surrounded by ink. {sheet.InWords()}", Recipe = null,
                },
                NearWhite => finding with
                {
                    Message = $"{Numeral.Of(finding.Pixels)} px are near white and lie beside bare ground. {sheet.InWords()}", Recipe = null,
                },
                "halo" => finding with { Message =
                    $"{Numeral.Of(finding.Pixels)} px at the edge of what is printed are paler than the rest. {sheet.InWords()}", Recipe = null },
                _ => sheet == TestSheet.TestPrint ? finding : finding with { Recipe = null },
            })],
        };
    }

    /// <summary>Checks an art.</summary>
    /// <param name="art">The art.</param>
    /// <param name="setup">The garment setup.</param>
    /// <param name="decisions">What was decided before; nothing where null.</param>
    /// <param name="hint">What kind of art the file says that it was made from; nothing where null.</param>
    public static ArtCheck Of(Artwork art, GarmentSetup setup, Decisions? decisions = null, ArtKind? hint = null)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(setup);
        var looked = new Looked(art, setup, decisions ?? Decisions.None);
        Islands? islands = null;
        Cleaning? cleaning = null;
        Region? specks = null;
        // Each of these looks at all of the art, and none of them at what another finds.
        Found ground = new(), black = new(), fine = new(), rims = new(), size = new();
        Parallel.Invoke(
            () =>
            {
                islands = Find.NumberedWhites(art.Flat, art.Ground, Near);
                cleaning = WhiteFindings.Of(ground, looked, islands, hint);
            },
            () => BlackFindings.Of(black, looked),
            () =>
            {
                FineFindings.Strokes(fine, looked);
                specks = FineFindings.Specks(fine, looked);
                FineFindings.Soft(fine, looked);
            },
            () => RimFindings.Of(rims, looked));
        var drawn = Figure.Of(art, setup, cleaning, specks).Bounds ?? new Box(0, 0, art.Width, art.Height);
        SizeFindings.Of(size, looked, drawn);
        return Told([ground, black, size, fine, rims], islands!, looked) with
        {
            PlatenPpi = setup.PixelsPerInchFilling(drawn.Width, drawn.Height) * art.Ground.Scale,
            ColorsWhenAsked = new(() => ColorAreas.Of(art.Flat, setup.Ink)),
            SurroundedWhenAsked = new(() => islands!.Pick(white => white.Class == EnclosedWhite)),
            RunsOffWhenAsked = new(() => islands!.Pick(white => white.Class == Find.EdgeWhite)),
        };
    }

    private static ArtCheck Told(Found[] found, Islands islands, Looked looked)
    {
        var (art, setup, decisions) = looked;
        var rules = setup.Ink;
        var findings = found.SelectMany(part => part.Findings);
        var told = found.SelectMany(part => part.Questions).Select(decisions.Split).ToList();
        return new ArtCheck(InkCount.Of(art.Flat, rules), ResolutionInWords.Effective(art, setup),
            [.. findings.Select(finding => Advised(finding, decisions)).OrderBy(Rank)],
            new ReportedRegions("enclosed white",
            [.. (islands.Count > ReportedRegions.Most
                ? islands.OrderByDescending(island => island.Count).Take(ReportedRegions.Most).OrderBy(island => island.Number) : islands.AsEnumerable())
                .Select(island => new ReportedRegion(island.Number, island.Bounds, island.Count, rules.WhiteBare, island.Class))]), looked.Printed.Bounds)
        {
            PrintPpi = looked.Ppi,
            EnclosedWhiteCount = islands.Count,
            Ground = art.Ground,
            Questions = [.. told.Select(question => question.Open).OfType<AskedQuestion>()],
            Decided = [.. told.Select(question => question.Decided).OfType<AskedQuestion>()],
            Estimate = InkEstimate.Of(art, looked.Ppi, setup),
        };
    }

    // The worst first: what can't be printed at all, and sizes come before everything else; then what vanishes or prints where nobody wants it, then what looks
    // wrong, then what may.
    private static readonly string[] Harm =
    [
        "next-to-nothing-prints", "off-platen", "garment-too-small", "garment-unknown", Find.EdgeWhite, EnclosedWhite, "checkers", "printed-rectangle",
        NearWhite, "halo", "near-black", "bare-black", "outdated-underbase", "partly-transparent", "low-resolution", "specks", "thin-lines", "thin-gaps",
    ];

    private static int Rank(Finding finding) => Array.IndexOf(Harm, finding.Code) is var place and >= 0 ? place : Harm.Length;

    // What a recipe has left it would leave again, unless a later step changed the art: who asked once isn't sent round in a circle. Of the two recipes for
    // black the one takes back what the other is for.
    private static Finding Advised(Finding finding, Decisions decisions)
    {
        string? other = finding.Recipe switch { "pure-black" => "print-black", "print-black" => "pure-black", _ => null };
        if (other is not null && decisions.StepOf(other) is { } undone)
        {
            return finding with { Recipe = null, Message = $"{finding.Message} {other} ran{In(undone)}, and the one takes back what the other is for." };
        }

        if (finding.Recipe is not { } recipe || decisions.StepOf(recipe) is not { } step)
        {
            return finding;
        }

        // What comes back each time, such as a rim that each hardening shows anew, a third time won't settle.
        int times = decisions.TimesOf(recipe);
        return decisions.IsLast(step) ? finding with { Recipe = null, Message = $"{finding.Message} {recipe} ran{In(step)} and would leave it again." }
            : times > 1 ? finding with { Recipe = null, Message = $"{finding.Message} {recipe} ran {times} times; look whether what is left shows." }
            : finding;

        static string In(int step) => step > 0 ? $" in step {step}" : "";
    }
}
