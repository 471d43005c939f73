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

    // The defaults of the recipes that mend what is found; a finding is what the recipe would change.
    private const string EnclosedWhite = Find.EnclosedWhite, NearWhite = Find.NearWhiteBackground;
    private const int Near = 24;
    private const double Lightness = 13, Chroma = 3;
    private const double Floor = 150, Acceptable = 200;
    private const string SpeckArea = "0.06mm2", SpeckAreaInWords = "0.06 mm2";

    // Common practice, no source: thinner lines break up, and thinner gaps close.
    private const double ThinMillimeters = 0.3;

    // Levels from the garment's color up to which ink is hardly seen.
    private const int Hardly = 23;

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
        decisions ??= Decisions.None;
        var (rules, flat, ppi) = (setup.Ink, art.Flat, setup.ResolutionFor(art));
        var printed = Find.Printing(flat, rules);
        Islands? islands = null;
        Cleaning? cleaning = null;
        Region? specks = null;
        // Each of these looks at all of the art, and none of them at what another finds.
        Found ground = new(), black = new(), fine = new(), rims = new(), size = new();
        Parallel.Invoke(
            () =>
            {
                islands = Find.NumberedWhites(flat, art.Ground, Near);
                cleaning = WhitesAndPaper(ground, islands, art, printed, setup, decisions, hint);
            },
            () =>
            {
                if (rules.BlackBare)
                {
                    Blacks(black, flat, printed, WhiteQuestions.SmallestAtEdge(ppi), decisions);
                }
            },
            () =>
            {
                Strokes(fine, flat, setup, ppi);
                specks = Specks(fine, art, setup, decisions);
                Soft(fine, flat, printed, setup);
            },
            () => Halos(rims, art, printed, setup));
        var drawn = Figure.Of(art, setup, cleaning, specks).Bounds ?? new Box(0, 0, art.Width, art.Height);
        Size(size, art, printed, drawn, setup);
        return Told([ground, black, size, fine, rims], islands!, art, printed, setup, decisions) with
        {
            PlatenPpi = setup.PixelsPerInchFilling(drawn.Width, drawn.Height) * art.Ground.Scale,
            ColorsWhenAsked = new(() => ColorAreas.Of(flat, rules)),
            SurroundedWhenAsked = new(() => islands!.Pick(white => white.Class == EnclosedWhite)),
            RunsOffWhenAsked = new(() => islands!.Pick(white => white.Class == Find.EdgeWhite)),
        };
    }

    private static ArtCheck Told(Found[] found, Islands islands, Artwork art, Region printed, GarmentSetup setup, Decisions decisions)
    {
        var (rules, ppi) = (setup.Ink, setup.ResolutionFor(art));
        var findings = found.SelectMany(part => part.Findings);
        var told = found.SelectMany(part => part.Questions).Select(decisions.Split).ToList();
        return new ArtCheck(InkCount.Of(art.Flat, rules), ResolutionInWords.Effective(art, setup),
            [.. findings.Select(finding => Advised(finding, decisions)).OrderBy(Rank)],
            new ReportedRegions("enclosed white",
            [.. (islands.Count > ReportedRegions.Most
                ? islands.OrderByDescending(island => island.Count).Take(ReportedRegions.Most).OrderBy(island => island.Number) : islands.AsEnumerable())
                .Select(island => new ReportedRegion(island.Number, island.Bounds, island.Count, rules.WhiteBare, island.Class))]), printed.Bounds)
        {
            PrintPpi = ppi,
            EnclosedWhiteCount = islands.Count,
            Ground = art.Ground,
            Questions = [.. told.Select(question => question.Open).OfType<AskedQuestion>()],
            Decided = [.. told.Select(question => question.Decided).OfType<AskedQuestion>()],
            Estimate = InkEstimate.Of(art, ppi, setup),
        };
    }

    // What a part of a check found and would ask.
    private sealed record Found
    {
        public List<Finding> Findings { get; } = [];

        public List<AskedQuestion> Questions { get; } = [];
    }

    // White that art surrounds or that runs off, and what lies around the figure.
    private static Cleaning WhitesAndPaper(Found found, Islands islands, Artwork art, Region printed, GarmentSetup setup, Decisions decisions, ArtKind? hint)
    {
        double ppi = setup.ResolutionFor(art);
        var holes = WhiteQuestions.Shows(setup) ? Find.HolesAmong(art.Flat, islands, Near, ppi) : null;
        Whites(found, islands, holes, art, setup, decisions);
        if (hint is ArtKind.OnPaper or ArtKind.Mixed && art.Ground.IsCutOut && WhiteQuestions.OnceOnPaper(art.Flat, islands, Near, setup, ppi) is { } once)
        {
            found.Questions.Add(AskedQuestion.Of(once, "printable-whites", 0));
        }

        var cleaning = Cleaning.Of(art, setup, new CleaningChoices(PaperTolerance.At(ppi)), islands, holes);
        Background(found, cleaning, printed, setup, WhiteQuestions.SmallestAtEdge(ppi), decisions);
        // White at the edge is asked about in the name of the recipe that makes it print, where one does.
        found.Questions.AddRange(cleaning.Questions.Where(question => question.Code != Find.EdgeWhite || !WhiteQuestions.Shows(setup))
            .Select(question => AskedQuestion.Of(question, "clean-background", 0)));
        return cleaning;
    }

    // Resolution, the platen, and what depends on how much prints.
    private static void Size(Found found, Artwork art, Region printed, Box drawn, GarmentSetup setup)
    {
        double ppi = setup.ResolutionFor(art), effective = ResolutionInWords.Effective(art, setup), scale = art.Ground.Scale;
        if (effective < Acceptable)
        {
            string? why = ResolutionInWords.Assumed(art.Width, art.Height, art.PixelsPerInch, setup);
            string note = why is not null ? $" (none stated; {why})" : ResolutionInWords.Resampled(scale, ppi) is { Length: > 0 } words ? $" ({words})" : "";
            found.Findings.Add(new Finding("low-resolution", string.Create(CultureInfo.InvariantCulture,
                $"{effective:0.#} pixels per printed inch{note}: "
                    + $"{(effective < Floor ? $"below the floor of {Floor}" : $"below {Acceptable}; enough for soft photographs, not for lettering")}. It has "
                    + $"{Acceptable} at {art.Width * scale / Acceptable:0.00} x {art.Height * scale / Acceptable:0.00} in."),
                art.PixelCount, null, null));
        }

        if (setup.Underbase == Underbase.File && art.UnderbaseIsOutdated)
        {
            found.Findings.Add(
                new Finding("outdated-underbase", "Colors changed after the underbase was laid; it may not fit them.", 0, null, "white-underbase"));
        }

        OffPlaten(found, art, printed, drawn, setup);
        GarmentTooSmall(found, art, printed, drawn, setup);
        if (ScantInk.Of(printed, ppi) is { } scant)
        {
            found.Findings.Add(scant);
        }
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

    private static void Whites(Found found, Islands whites, WhiteHoles? holes, Artwork art,
            GarmentSetup setup, Decisions decisions)
    {
        if (setup.Underbase == Underbase.None)
        {
            // Nothing that anybody decides would show, so it is one thing to know and none to do. Whites that a recipe made to print don't either.
            var white = whites.Pick(_ => true);
            white = art.PrintedWhite(setup.Ink) is { } made ? white.Union(made) : white;
            if (!white.IsEmpty)
            {
                Add(found, EnclosedWhite, white, null,
                    $"of white, in {Count(white.Islands().Count, "region")} that art surrounds, that runs off the picture or that was made to print, "
                        + "will be the cloth's color: this setup lays no white ink.");
            }

            return;
        }

        if (!setup.Ink.WhiteBare)
        {
            return;
        }

        double ppi = setup.ResolutionFor(art), smallest = WhiteQuestions.SmallestAtEdge(ppi);
        var sheets = holes?.Sheets.ToHashSet() ?? [];
        // What the recipe leaves unless somebody answers, and nobody is asked where it doesn't show, is no advice.
        var edge = holes is null ? (Find.EdgeWhite, "running off the picture, will stay bare, which hardly shows on this cloth.", null)
            : (Find.EdgeWhite, "running off the picture, will stay bare. Paper may; art must print.", "printable-whites");
        foreach (var (code, what, recipe) in (ReadOnlySpan<(string, string, string?)>)
            [edge, (EnclosedWhite, "that art surrounds, will stay bare. Decide which of them must print.", "printable-whites")])
        {
            int open = 0;
            var left = whites.Pick(white =>
            {
                bool undecided = white.Class == code && !sheets.Contains(white.Number) && (code == EnclosedWhite || white.Count >= smallest)
                    && decisions.About(Decisions.WhitesRecipe, code, white.Bounds) is null;
                open += undecided ? 1 : 0;
                return undecided;
            });
            if (open > 0)
            {
                Add(found, code, left, recipe, $"of pure white, in {Count(open, "region")} {what}");
            }
        }

        if (holes is not null)
        {
            // A sheet is asked about in the name of the recipe that removes it.
            found.Questions.AddRange(WhiteQuestions.Of(whites, holes, setup, ppi).Where(question => question.Code != Find.PrintedRectangle)
                .Select(question => AskedQuestion.Of(question, "printable-whites", 0)));
        }

        // What nobody asks about may have been decided too.
        var asked = found.Questions.SelectMany(question => question.Regions).Select(region => region.Number).ToHashSet();
        foreach (var decided in whites.Where(white => !asked.Contains(white.Number))
            .GroupBy(white => (white.Class, Words: decisions.About(Decisions.WhitesRecipe, white.Class, white.Bounds)))
            .Where(group => group.Key.Words is not null))
        {
            found.Questions.Add(AskedQuestion.Of(
                new Question(decided.Key.Class, $"White {WhiteQuestions.Numbers(decided)}:", [.. decided], "", ""), "printable-whites", 0));
        }
    }

    // Near-black that prints: what pure-black would take at its defaults, and what it leaves and why.
    private static void Blacks(Found found, Plane<Rgba8> flat, Region printed, double smallest, Decisions decisions)
    {
        var dark = Find.DrawnBlack(flat, Lightness, Chroma);
        var takes = dark.Drawn.Intersect(printed);
        var fades = dark.Fades.Intersect(printed);
        var asked = fades.IsEmpty || dark.AboutFades(decided: false) is not { } question ? null : AskedQuestion.Of(question, "pure-black", 0);
        if (asked is not null)
        {
            found.Questions.Add(asked);
        }

        if (!takes.IsEmpty || (asked is not null && decisions.Split(asked).Open is not null))
        {
            var within = dark.Within.Intersect(printed);
            var left = within.Except(takes);
            long inFades = left.Intersect(fades).Count, beyond = takes.Except(within).Count;
            string why = string.Join(" and ", new[]
            {
                inFades > 0 ? $"{Numeral.Of(inFades)} px of even black that runs into a fade" : "",
                left.Count > inFades ? $"{Numeral.Of(left.Count - inFades)} px of shadow, texture or soft edges" : "",
            }.Where(part => part.Length > 0));
            string what = $"of drawn black, not 0,0,0, will print instead of showing the "
                + $"garment{(beyond > 0 ? $", {Numeral.Of(beyond)} of them noise over the limits" : "")}. "
                + $"{Numeral.Of(within.Count)} px within the limits print: pure-black takes "
                    + $"{Numeral.Of(within.Count - left.Count)}{(why.Length > 0 ? $" and leaves {why}" : "")}.";
            // Where nothing but this black prints, dropping it would leave a bare garment: that is for print-black, or for another setup.
            string message = takes.IsEmpty
                ? $"{Numeral.Of(fades.Count)} px of even black that runs into a fade will print; pure-black leaves them until somebody says."
                : $"{Numeral.Of(takes.Count)} px {what}";
            found.Findings.Add(new Finding("near-black", message, takes.IsEmpty ? fades.Count : takes.Count,
                takes.IsEmpty ? fades.Bounds : takes.Bounds, takes.IsEmpty || takes.Count == printed.Count ? null : "pure-black")
            {
                Where = takes.IsEmpty ? fades : takes,
            });
        }

        if (dark.Tinted.Intersect(printed) is { } lines && lines.Count >= smallest)
        {
            Add(found, "near-black", lines, null, "in lines as dark as black, but tinted over their whole width, will print: a lossy file makes such of thin "
                + "black outlines. Where they are to drop, raise pure-black.chroma.");
        }

        var black = Find.PureBlack(flat);
        if (!black.IsEmpty)
        {
            Add(found, "bare-black", black, "print-black", "of pure black will stay bare and show the garment. Where they must print, make them printable."
                + (dark.Scattered.IsEmpty ? ""
                    : $" {Numeral.Of(dark.Scattered.Count)} of them, scattered in a shadow that prints around them, may show there as mottle."));
        }
    }

    // What cleaning would take, and grounds with straight sides that print.
    private static void Background(Found found, Cleaning cleaning, Region printed, GarmentSetup setup, double smallest, Decisions decisions)
    {
        var rules = setup.Ink;
        var dust = cleaning.Bare.Intersect(printed);
        bool rectangle = cleaning.Removed is not null && cleaning.Questions.Any(question => question.Code == Find.PrintedRectangle);
        if (!dust.IsEmpty)
        {
            Add(found, rectangle ? Find.PrintedRectangle : NearWhite, dust, "clean-background",
                cleaning.Removed is { } color ? $"of paper, {color}, will print{(rectangle ? " as a straight rectangle" : "")}."
                : rules.WhiteBare ? "of near-white background, not bare, will print as dust."
                : "of the background will print as a sheet of white: this machine prints white and skips only transparency.");
        }

        if (cleaning.Pockets.Intersect(printed) is { } pockets && pockets.Count >= smallest)
        {
            Add(found, NearWhite, pockets, null, $"of near white, in {Count(pockets.Islands().Count, "place")} that art surrounds, none of it pure white, will "
                + "print. Where the garment shall show: clean-background.inside=bare.");
        }

        foreach (var question in cleaning.Questions.Where(question => question.Code is "checkers" or Find.PrintedRectangle && !rectangle))
        {
            if (decisions.Split(AskedQuestion.Of(question, "clean-background", 0)).Open is not null)
            {
                found.Findings.Add(new Finding(question.Code, question.Message, question.Regions[0].Count, question.Regions[0].Bounds, null));
            }
        }
    }

    // Of a garment of the shop's stock; one that it no longer lists may still have steps.
    private static void GarmentTooSmall(Found found, Artwork art, Region printed, Box drawn, GarmentSetup setup)
    {
        if (printed.Bounds is not { } ink || art.PixelsPerInch is not { } ppi || Listed(found, setup) is not { } garment
            || garment.TooSmall(ink.Width / ppi, ink.Height / ppi) is not { } small)
        {
            return;
        }

        double wide = drawn.Width / ppi, fits = Math.Floor(Math.Round(wide * garment.Fit(wide, drawn.Height / ppi) * 100, 6)) / 100;
        found.Findings.Add(new Finding("garment-too-small", small, printed.Count, ink, "fit-to-platen",
            string.Create(CultureInfo.InvariantCulture, $"width={fits:0.##}in")));
    }

    // The art is none the worse for a stock that can't be read, but nobody knows its garment's sizes.
    private static Garment? Listed(Found found, GarmentSetup setup)
    {
        try
        {
            return GarmentStock.Of(setup);
        }
        catch (ProblemException e) when (e.Problems[0].Code == Codes.BadGarments)
        {
            found.Findings.Add(new Finding("garment-unknown",
                $"The sizes of the garment aren't known, so nobody looked whether they take this ink. {e.Problems[0].Message}", 0, null, null));
            return null;
        }
    }

    private static void OffPlaten(Found found, Artwork art, Region printed, Box drawn, GarmentSetup setup)
    {
        // Art that states no resolution can be printed at any size.
        if (printed.Bounds is not { } box || art.PixelsPerInch is not { } ppi)
        {
            return;
        }

        double width = Math.Round(box.Width / ppi, 6), height = Math.Round(box.Height / ppi, 6), margin = 2 * setup.SafeMargin;
        string? where = width > setup.PlatenWidth || height > setup.PlatenHeight ? "larger than the platen"
            : width > Math.Round(setup.PlatenWidth - margin, 6) || height > Math.Round(setup.PlatenHeight - margin, 6)
                ? "larger than the platen less its safe margin" : null;
        // What fills the platen may be too coarse; then it says which size isn't, rounded down.
        double scale = art.Ground.Scale;
        string? set = setup.PixelsPerInchFilling(drawn.Width, drawn.Height) * scale < Floor
            ? string.Create(CultureInfo.InvariantCulture, $"width={Math.Floor(drawn.Width * scale * 100.0 / Floor) / 100:0.##}in") : null;
        if (where is not null)
        {
            found.Findings.Add(new Finding("off-platen", string.Create(CultureInfo.InvariantCulture,
                $"The ink is {width:0.00} x {height:0.00} in, {where} ({setup.PlatenWidth:0.##} x {setup.PlatenHeight:0.##} in, margin {setup.SafeMargin:0.##} in). Make it smaller, or choose a larger platen."),
                printed.Count, box, "fit-to-platen", set));
        }
        else
        {
            // A px of rounding in a file that is the platen is no fault.
            var platen = setup.PlatenAt(ppi);
            if (art.Width > platen.Width + 1 || art.Height > platen.Height + 1)
            {
                found.Findings.Add(new Finding("off-platen", string.Create(CultureInfo.InvariantCulture,
                    $"The file states {art.Width / ppi:0.00} x {art.Height / ppi:0.00} in, larger than the platen ({setup.PlatenWidth:0.##} x {setup.PlatenHeight:0.##} in); its ink alone, {width:0.00} x {height:0.00} in, would fit. Crop it, or place it with fit-to-platen."),
                    art.PixelCount, null, "fit-to-platen", set));
            }
        }
    }

    // What is drawn too finely for ink on cloth, or stands where nobody drew.
    private static void Strokes(Found found, Plane<Rgba8> flat, GarmentSetup setup, double ppi)
    {
        double thin = ThinMillimeters / 25.4 * ppi;
        var seen = Find.Seen(flat, setup, Hardly);
        var lines = Find.ThinParts(seen, thin);
        var type = Find.SmallType(flat, seen, thin, ppi / 25.4);
        lines = type is null ? lines : lines.Union(type.Region);
        if (!lines.IsEmpty)
        {
            string letters = type is null ? "" : $" {Numeral.Of(type.Count)} letters or marks, most {Length(type.Height)} high or less, are drawn in "
                + $"strokes of about {Length(type.Stroke)}.";
            Add(found, "thin-lines", lines, null,
                $"in lines thinner than {Millimeters(ThinMillimeters)}, which may break up on cloth.{letters} Print a test, or ask for bolder art.");
        }

        var gaps = Find.ThinParts(seen.Complement(), thin).Islands(diagonal: true).Pick(gap =>
            gap.Bounds is { X: > 0, Y: > 0 } inside && inside.Right < flat.Width && inside.Bottom < flat.Height);
        if (!gaps.IsEmpty)
        {
            Add(found, "thin-gaps", gaps, null,
                $"in gaps thinner than {Millimeters(ThinMillimeters)}, which may close on cloth. Print a test, or ask for more open art.");
        }

        // At the printed size, in the two units that type is told in.
        string Length(double px) => string.Create(CultureInfo.InvariantCulture, $"{px / ppi * 25.4:0.0#} mm ({px / ppi * 72:0.#} pt)");
    }

    // The judgment of remove-specks, at the resolution at which it would run, and all that it would change: a pinhole's mixes go with it.
    private static Region Specks(Found found, Artwork art, GarmentSetup setup, Decisions decisions)
    {
        double ppi = setup.ResolutionFor(art);
        var dirt = Find.Dirt(art.Flat, setup.Ink, Measure.Area(SpeckArea, ppi)!.Value);
        if (!dirt.Specks.IsEmpty || !dirt.Pinholes.IsEmpty)
        {
            string[] kinds = [.. new[] { (dirt.Specks.Islands(diagonal: true).Count, Noun: "speck"), (dirt.Pinholes.Islands().Count, Noun: "pinhole") }
                .Where(kind => kind.Count > 0).Select(kind => Count(kind.Count, kind.Noun))];
            Add(found, "specks", dirt.Specks.Union(HoleFill.Filled(art.Flat, dirt.Pinholes, setup.Ink)), "remove-specks",
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
    private static void Soft(Found found, Plane<Rgba8> flat, Region printed, GarmentSetup setup)
    {
        var soft = Find.PartlyTransparent(flat).Threshold(0).Intersect(printed);
        if (soft.IsEmpty)
        {
            return;
        }

        long wide = Find.SoftZones(flat, setup).All.Threshold(0).Intersect(printed).Count;
        string where = wide == 0 ? "all at soft edges"
            : string.Create(CultureInfo.InvariantCulture,
                $"{soft.Count - wide:N0} px at soft edges, {wide:N0} px in wide soft zones such as shadows, glows and fades");
        Add(found, "partly-transparent", soft, "harden-edges",
            string.Create(CultureInfo.InvariantCulture,
                $"partly transparent, {100.0 * soft.Count / printed.Count:0.0}% of what prints, will print as a speckle of underbase; {where}."));
    }

    // What remove-halo would take out, where the garment's color shows it.
    private static void Halos(Found found, Artwork art, Region printed, GarmentSetup setup)
    {
        double ppi = setup.ResolutionFor(art);
        var search = RimSearch.At(ppi);
        var outside = Find.Outside(art.Flat, Rgba8.White, art.Ground, art.PrintedWhite(setup.Ink));
        var paper = art.Ground.HasPaper ? art.Ground.Paper : Rgba8.White;
        var old = RimQuestions.Shows(paper, setup) ? Rims.Of(outside, paper, search) : null;
        var other = old is { IsEmpty: false } ? null : Rims.Other(outside, Rgba8.White, search);
        found.Questions.AddRange(RimQuestions.Of(old, other, search, setup).Select(question => AskedQuestion.Of(question, "remove-halo", 0)));
        var rim = other ?? old;
        if (rim is null || !RimQuestions.Shows(rim.Background, setup) || rim.Region.Intersect(printed) is not { IsEmpty: false } halo)
        {
            return;
        }

        bool isWhite = rim.Background == Rgba8.White;
        bool goes = other is null || rim.IsMultiplied;
        string color = isWhite ? "white" : $"{rim.Background}", name = goes ? "" : $" Name that color: remove-halo.background={color}.";
        string look = LabSpace.D50.Of(rim.Background).L > LabSpace.D50.Of(setup.Garment).L ? "pale" : "dark";
        string what = rim.IsMultiplied ? "with colors that the file multiplied by their alpha" : $"with some {color} of an old background";
        // Of another color it stays unless the question is answered; whoever ran the recipe as it is would be sent to it again.
        Add(found, "halo", halo, goes ? "remove-halo" : null,
            $"at the edge of the art {what}, {Millimeters(rim.Depth / search.Millimeter)} deep, may show as a {look} rim on this garment.{name}");
    }

    private static string Millimeters(double length) => string.Create(CultureInfo.InvariantCulture, $"{length:0.##} mm");

    private static void Add(Found found, string code, Region region, string? recipe, string what) =>
        found.Findings.Add(new Finding(code, string.Create(CultureInfo.InvariantCulture, $"{region.Count:N0} px {what}"), region.Count, region.Bounds, recipe)
        {
            Where = region,
        });

    private static string Count(int count, string noun) => count == 1 ? $"1 {noun}" : string.Create(CultureInfo.InvariantCulture, $"{count:N0} {noun}s");
}
