using System.Collections.Immutable;
using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Work;

namespace Recipes.Hosting.Pages;

/// <summary>Writes a ticket for the press: one sheet of A4 or Letter. What doesn't fit is counted, and told by the commands it names.</summary>
public static class TicketPage
{
    // Longer lists would break the sheet.
    private const int MostSteps = 5, MostFindings = 7, MostChanges = 6, MostNotes = 3, MostPicturePixels = 1000;

    // Cloth around the art, as a part of its longer side.
    private const int ClothAround = 16;

    // Characters of one text; what a customer or a shop writes is cut there, and the style sheet holds it to two lines.
    private const int Short = 40, Long = 110, LongestCommand = 140;

    // Lines of all lists from which everything is set smaller, smaller yet, and smallest, from full on each on one line: what fits on Letter beside what
    // always stands there.
    private const int Dense = 1, Full = 7, Crammed = 28;

    /// <summary>Writes the page as UTF-8.</summary>
    /// <param name="stream">Where to; stays open.</param>
    /// <param name="ticket">The ticket.</param>
    /// <param name="brackets">The commands that make brackets around the affected colors.</param>
    /// <param name="encodePng">Encodes a picture of the page as PNG.</param>
    public static void Write(Stream stream, Ticket ticket, ImmutableArray<string> brackets, Func<Plane<Rgba8>, byte[]> encodePng)
    {
        ArgumentNullException.ThrowIfNull(stream);
        ArgumentNullException.ThrowIfNull(ticket);
        ArgumentNullException.ThrowIfNull(encodePng);
        var (state, setup) = (ticket.State, ticket.State.Setup);
        string name = Path.GetFileName(state.Identity.Path.Replace('\\', '/'));
        using var page = new Page(stream, TicketFile.Title(name), setup, encodePng, paper: "ticket.css");
        int lines = Lines(ticket, brackets);
        page.Open("div", ("class", lines > Crammed ? "sheet full crammed" : lines > Full ? "sheet full" : lines > Dense ? "sheet dense" : "sheet"));
        if (ScantInk.In(ticket.Check) is { } scant)
        {
            page.Element("p", scant.Message, "stamp warn");
        }

        if (ticket.LastBad is { } bad)
        {
            page.Open("p", ("class", "order clamp")).Element("strong", "The last print was bad").Text(": ")
                .Outside(CleanText.Line(bad.WhyInWords(), 2 * Long)).Close();
        }

        page.Open("header").Open("div").Element("p", "Ticket", "kind").Open("h1", ("class", "clamp")).Outside(CleanText.Line(name, Long)).Close();
        page.Open("p").Text(state.Step == 0 ? "the original, no steps kept, for " : $"step {Numeral.Plain(state.Step)}, for ").Outside(setup.Name).Close();
        page.Close();
        page.Element("p", Headline(ticket.Repeat, Repeat.Unnoted(ticket.State.Setup)), ticket.Repeat.TestFirst ? "stamp warn" : "stamp").Close();

        Order(page, ticket.Fields);
        if (ticket.SizeNotListed is { } size)
        {
            page.Open("p", ("class", "clamp")).Element("strong", "Sizes").Text(": ").Outside(size.Message).Close();
        }

        Notes(page, ticket.Notes);
        page.Open("div", ("class", "top"));
        Art(page, ticket);
        page.Open("div", ("class", "side"));
        Size(page, ticket);
        page.Open("div", ("class", "small"));
        Preview(page, ticket);
        Code(page, ticket.Code);
        page.Close().Close().Close();
        page.Open("div", ("class", "halves"));
        Setup(page, setup, ticket.Garment);
        Printed(page, ticket.Repeat, Repeat.Unnoted(ticket.State.Setup));
        page.Close();
        Steps(page, ticket.Steps);
        Findings(page, ticket.Check);
        Colors(page, ticket, brackets);
        SignOff(page);
        Cautions(page);
        Hashes(page, ticket);
        page.Close();
    }

    // What stands beside the setup counts where it is longer than that, eight lines.
    private static int Lines(Ticket ticket, ImmutableArray<string> brackets)
    {
        var repeat = ticket.Repeat;
        int printed = (repeat.LastGood is null ? 0 : 2) + (repeat.BadSince is null ? 0 : 2)
            + repeat.Changes.Take(MostChanges).Sum(change => Wrapped(Math.Max(change.Was.Length, change.Now.Length), 20));
        // Set large, each field takes the room of its value, and at least that of its label; a row of them is as high as three lines, and the first has room.
        int order = ticket.Fields.Sum(field => Math.Max(12, field.Value.Length + 3)) / 60 * 3;
        int notes = ticket.Notes.TakeLast(MostNotes).Sum(note => Wrapped(note.Text.Length + 60, Long));
        // A name of two lines, as high as three of a list, and a chart's hash.
        int head = (ticket.State.Identity.Path.Length > 50 ? 2 : 0) + (ticket.State.Setup.Chart?.Sha256 is null ? 0 : 1);
        return order + notes + head + (PlaceOf(ticket.Steps) is null ? 0 : 1) + (ticket.LastBad is null ? 0 : 2) + Math.Max(0, printed - 8)
            + ticket.Steps.TakeLast(MostSteps).Sum(step => 1 + Wrapped(Parameters(step).Length, 50))
            + ticket.Check.Findings.Take(MostFindings).Sum(finding => Wrapped(finding.Code.Length + finding.Message.Length, 110))
            + ((brackets.Sum(command => Wrapped(command.Length, 70)) + 1) / 2) + (brackets.IsEmpty ? 0 : 1);

        static int Wrapped(int length, int each) => length > each ? 2 : 1;
    }

    // All of it: what is cut off here would be missing at the press.
    private static void Order(Page page, ImmutableArray<TicketField> fields)
    {
        if (fields.IsEmpty)
        {
            return;
        }

        page.Open("dl", ("class", "order"));
        foreach (var field in fields)
        {
            page.Open("div").Element("dt", field.Label).Open("dd").Outside(field.Value).Close().Close();
        }

        page.Close();
    }

    // The newest; who asked whom, and what the customer answered.
    private static void Notes(Page page, ImmutableArray<ArtNote> notes)
    {
        for (int i = Math.Max(0, notes.Length - MostNotes); i < notes.Length; i++)
        {
            page.Open("p", ("class", "clamp")).Element("strong", notes.Length == 1 ? "Note" : $"Note {Numeral.Plain(i + 1)} of {Numeral.Plain(notes.Length)}");
            string by = notes[i].By is { } name ? $", by {CleanText.Line(name, Short)}" : "";
            page.Text(": ").Outside(CleanText.Line(notes[i].Text, 2 * Long)).Outside($" ({When(notes[i].At)}{by})").Close();
        }
    }

    private static string Parameters(WorkStep step) =>
        string.Join(", ", step.Record.Parameters.Where(pair => pair.Value.Length > 0).Select(pair => $"{pair.Key}={pair.Value}"));

    private static string Headline(Repeat repeat, string unnoted) => repeat.TestFirst ? "TEST FIRST"
        : repeat.LastGood is null ? "Not printed before" : unnoted.Length == 0 ? "Repeat: nothing changed" : "Repeat: nothing noted changed";

    private static int ShrinkOf(TileGrid art) => Math.Max(1, (Math.Max(art.Width, art.Height) + MostPicturePixels - 1) / MostPicturePixels);

    private static void Art(Page page, Ticket ticket)
    {
        var (flat, setup) = (ticket.State.Art.Flat, ticket.State.Setup);
        var window = InkWindow.Of(setup, [], flat);
        var art = GarmentPicture.Render(window.Of(flat), setup, ShrinkOf(window.Grid));
        var onCloth = GarmentPicture.OnCloth(art, setup, Math.Max(art.Width, art.Height) / ClothAround);
        page.Open("figure", ("class", "art")).Image(onCloth, "The art on the cloth, what stays bare marked");
        page.Element("figcaption", (window.IsWhole ? "The art" : "The ink and a margin") + " on the cloth: a weave marks what stays bare").Close();
    }

    private static void Preview(Page page, Ticket ticket)
    {
        var (state, setup) = (ticket.State, ticket.State.Setup);
        var flat = state.Art.Flat;
        int n = ShrinkOf(flat.Grid);
        var preview = PrintPreview.Render(flat, setup, WhiteUnderbase.For(state.Art, setup), setup.Underbase == Underbase.File ? state.Art.SecondPass : null);
        page.Open("figure").Image(n == 1 ? preview : Resample.To(preview, (flat.Width + n - 1) / n, (flat.Height + n - 1) / n), "Simulation of the print");
        page.Element("figcaption", "Preview: a simulation on a screen, not a proof").Close();
    }

    private static void Code(Page page, TicketCode code)
    {
        page.Open("figure", ("class", "scan")).Code(code.Modules(), "QR code of what the ticket is for");
        page.Element("figcaption", code.Export is null ? "Scan: state, as nothing is exported yet" : "Scan: exported file").Close();
    }

    // Nobody reads them, and whoever compares one needs all of it.
    private static void Hashes(Page page, Ticket ticket)
    {
        page.Open("p", ("class", "hashes")).Text("original ").Element("code", ticket.State.File.Sha256)
            .Text(" · this state ").Element("code", ticket.State.StateSha256);
        if (ticket.Code.Export is { } export)
        {
            page.Text(" · exported file ").Element("code", export);
        }

        page.Close();
    }

    private static void Size(Page page, Ticket ticket)
    {
        var (art, setup, check) = (ticket.State.Art, ticket.State.Setup, ticket.Check);
        double ppi = check.PrintPpi;
        page.Section("Size and placement").Open("table").Open("tbody");
        page.Pair("Print", Inches(art.Width / ppi, art.Height / ppi));
        string assumed = ResolutionInWords.Assumed(art.Width, art.Height, art.PixelsPerInch, setup) is { } why ? $"; no resolution stated, so {why}" : "";
        string resampled = ResolutionInWords.Resampled(art.Ground.Scale, ppi) is { Length: > 0 } words ? $" {words}" : "";
        page.Pair("Resolution", $"{Numeral.Of(check.EffectivePpi, "0.#")} ppi{resampled}: {CheckPage.Judged(check.EffectivePpi)}{assumed}");
        page.Pair("Pixels", $"{Numeral.Plain(art.Width)} × {Numeral.Plain(art.Height)}");
        page.Pair("Platen", $"{Numeral.Of(setup.PlatenWidth)} × {Numeral.Of(setup.PlatenHeight)} in, margin {Numeral.Of(setup.SafeMargin)} in");
        if (check.InkBox is { } box)
        {
            page.Pair("Ink", Inches(box.Width / ppi, box.Height / ppi));
            var platen = setup.PlatenAt(ppi);
            page.Pair("Placed", (art.Width, art.Height) == (platen.Width, platen.Height)
                ? $"the file is the platen; ink begins {Numeral.Of(box.X / ppi)} in from its left edge, {Numeral.Of(box.Y / ppi)} in from its top"
                : "by hand: the file is not as large as the platen");
        }
        else
        {
            page.Pair("Ink", "none: nothing prints");
        }

        if (PlaceOf(ticket.Steps) is { } place)
        {
            page.Pair("Place", CleanText.Line(place, Long));
        }

        page.Close().Close();
        Blank(page, "Below the collar", "From the center");
        page.Close();
    }

    // What the step that sized the art was told of the garment; of a list its part says it.
    private static string? PlaceOf(ImmutableArray<WorkStep> steps)
    {
        var sized = steps.LastOrDefault(step => Of(step, "place") is not null);
        return sized is null || Of(sized, "place") == "platen" ? null
            : $"{Of(sized, "place")}, {Of(sized, "size") ?? "adult"}; platen's top edge {Of(sized, "collar") ?? "0in"} below the collar";

        static string? Of(WorkStep step, string name) =>
            step.Record.Parameters.FirstOrDefault(pair => pair.Key == name || pair.Key.EndsWith("." + name, StringComparison.Ordinal)).Value;
    }

    private static string Inches(double width, double height) => string.Create(
        CultureInfo.InvariantCulture, $"{width:0.00} × {height:0.00} in ({width * 25.4:0} × {height * 25.4:0} mm)");

    private static void Setup(Page page, GarmentSetup setup, Garment? garment)
    {
        page.Section("Garment setup", style: "setup").Open("table").Open("tbody");
        page.Pair("Name", garment is null ? setup.Name : $"{setup.Name}, printed as {garment.Setup}");
        if (garment is not null)
        {
            // A wrong shirt is the dearest mistake at the press, and a name alone is read too quickly.
            page.Open("tr").Open("th", ("scope", "row")).Text("Take").Close()
                .Open("td").Element("strong", CleanText.Line(garment.InWords(), Long)).Close().Close();
        }

        page.Open("tr").Open("th", ("scope", "row")).Text(garment is null ? "Garment" : "Cloth").Close().ColorCell(setup.Garment).Close();
        page.Pair("Stays bare", SetupWords.Bare(setup.Ink)).Pair("Underbase", SetupWords.WhoLays(setup.Underbase));
        page.Pair("Ink lot", Noted(setup.InkLot)).Pair("Pretreatment", Noted(setup.Pretreatment));
        page.Pair("Chart", setup.Chart is { } chart ? $"{CleanText.Line(chart.File, Short)}, {chart.Date ?? "no date"}" : Noted(null));
        if (setup.Chart?.Sha256 is { } sha256)
        {
            page.Open("tr").Open("th", ("scope", "row")).Text("Chart's hash").Close().Open("td").Element("code", sha256).Close().Close();
        }

        page.Close().Close().Close();
    }

    private static string Noted(string? text) => string.IsNullOrWhiteSpace(text) ? "none noted: ______________" : CleanText.Line(text, Short);

    private static void Printed(Page page, Repeat repeat, string unnoted)
    {
        page.Section("Since the last good print", style: repeat.TestFirst ? "printed warn" : "printed");
        if (repeat.LastGood is { } good)
        {
            Print(page, "Good", good);
        }
        else
        {
            page.Element("p", repeat.BadSince is null
                ? "No print of this art is remembered. Print a test, then tell the result:"
                : "No good print of this art is remembered.");
            page.Open("p").Element("code", "recipes printed ART --result good --note TEXT").Close();
        }

        if (repeat.BadSince is { } bad)
        {
            Print(page, "Bad", bad);
        }

        if (repeat.Changes.IsEmpty)
        {
            page.Element("p", repeat.LastGood is null ? "" : unnoted.Length == 0 ? "No lot, pretreatment, chart, setup or pixel changed since the good one."
                : $"Nothing that is noted changed since the good one. Not noted, so ask: {unnoted}.").Close();
            return;
        }

        page.Open("table").Heads("Changed", "Was", "Now").Open("tbody");
        foreach (var change in repeat.Changes.Take(MostChanges))
        {
            page.Open("tr").Cell(change.What);
            foreach (string value in (ReadOnlySpan<string>)[change.Was, change.Now])
            {
                page.Open("td").Open("p", ("class", "clamp")).Outside(CleanText.Line(value, Short)).Close().Close();
            }

            page.Close();
        }

        page.Close().Close();
        if (repeat.Changes.Length > MostChanges)
        {
            page.Element("p", $"And {Numeral.Plain(repeat.Changes.Length - MostChanges)} more: 'recipes ticket' tells all.");
        }

        page.Close();
    }

    private static void Print(Page page, string result, EarlierPrint earlier)
    {
        var print = earlier.Print;
        string step = print.Step == 0 ? "the original" : $"step {Numeral.Plain(print.Step)}";
        page.Open("p", ("class", "clamp")).Element("strong", result).Text($": {step}, {When(print.At)}");
        if (print.By is { } by)
        {
            page.Text(", by ").Outside(CleanText.Line(by, Short));
        }

        page.Text(print.Cause is null ? ". " : $", {print.Cause}. ").Outside(CleanText.Line(print.Note, Long)).Close();
    }

    private static void Steps(Page page, ImmutableArray<WorkStep> steps)
    {
        page.Section("Steps", style: "steps");
        if (steps.IsEmpty)
        {
            page.Element("p", "None: the file prints as the customer sent it.").Close();
            return;
        }

        if (steps.Length > MostSteps)
        {
            page.Element("p", $"The last {MostSteps} of {Numeral.Plain(steps.Length)}; 'recipes history' lists all.");
        }

        page.Open("table").Open("tbody");
        foreach (var step in steps.TakeLast(MostSteps))
        {
            var record = step.Record;
            page.Open("tr").Open("th", ("scope", "row")).Text(Numeral.Plain(step.Number)).Close();
            page.Open("td").Open("p", ("class", "clamp"))
                .Text($"version {Numeral.Plain(record.RecipeVersion)} of ").Outside(CleanText.Line(record.Recipe, Short)).Close();
            page.Element("code", CleanText.Line(record.RecipeSha256, 64)).Close();
            page.Open("td").Open("p", ("class", "clamp")).Outside(CleanText.Line(Parameters(step), Long)).Close();
            page.Open("p", ("class", "line quiet")).Text(When(record.At));
            if (record.By is { } by)
            {
                page.Text(", by ").Outside(CleanText.Line(by, Short));
            }

            page.Close().Close().Close();
        }

        page.Close().Close().Close();
    }

    private static void Findings(Page page, ArtCheck check)
    {
        page.Section("Findings");
        if (check.Findings.IsEmpty)
        {
            page.Element("p", "The check finds nothing.");
        }
        else
        {
            page.Open("ul");
            foreach (var finding in check.Findings.Take(MostFindings))
            {
                page.Open("li").Open("p", ("class", "clamp")).Element("code", finding.Code).Text(": ").Outside(finding.Message).Close().Close();
            }

            page.Close();
        }

        if (check.Findings.Length > MostFindings)
        {
            page.Element("p", $"And {Numeral.Plain(check.Findings.Length - MostFindings)} more: 'recipes check' lists all.");
        }

        page.Open("p").Element("strong", "Ink").Text(": ")
            .Text(check.Estimate?.InWords() ?? "not estimated, since the setup has no ink constants.").Close().Close();
    }

    private static void Cautions(Page page)
    {
        page.Section("Cautions", style: "cautions").Open("ul");
        foreach (string caution in (ReadOnlySpan<string>)
            [
                "Ink and pretreatment: follow the makers' safety data sheets; ventilation, gloves. Dry pretreatment fully.",
                "Heat press and conveyor burn. Time, temperature and pressure come from the makers of ink, pretreatment and garment; local rules apply.",
                "Polyester dyes migrate under heat. Don't stack uncured prints. Wash-test.",
                "Seams, collars and zippers can strike the heads: set the height by the machine's manual, hands clear of the platen.",
                "Color-critical: a printed, cured sample that the customer signed decides, not a screen. Ink figures are estimates.",
            ])
        {
            page.Element("li", caution);
        }

        page.Close().Close();
    }

    private static void Colors(Page page, Ticket ticket, ImmutableArray<string> brackets)
    {
        page.Section("Main colors", style: "colors");
        // A repeat gives the same bytes under any name, so the strip is named by this page's name and not by its own.
        page.Element("p", ticket.Strip is not { } strip ? "None: nothing prints."
            : "Shares of what prints. Paper shows them wrongly: print NAME-strip.png, beside this NAME.html, "
                + $"{Numeral.Of(strip.Width / ticket.State.Setup.PixelsPerInch)} × {Numeral.Of(strip.Height / ticket.State.Setup.PixelsPerInch)} in, "
                + "on this garment.");
        page.Open("div", ("class", "strip"));
        foreach (var color in ticket.Colors)
        {
            page.Open("figure").Open("svg", ("viewBox", "0 0 20 12"), ("preserveAspectRatio", "none"), ("aria-hidden", "true"));
            page.Open("rect", ("width", "20"), ("height", "12"), ("fill", color.Color.ToString())).Close().Close();
            string share = color.Share < 0.01 ? "under 1" : Numeral.Plain((long)Math.Round(color.Share * 100));
            page.Open("figcaption").Element("code", color.Color.ToString()).Text($" {share}%").Close().Close();
        }

        page.Close().Element("p", "Staple the printed, cured strip or test print here", "staple");
        if (!brackets.IsEmpty)
        {
            page.Element("p", "Brackets around the colors that may have shifted:").Open("ul", ("class", "commands"));
            foreach (string command in brackets)
            {
                page.Open("li").Open("p").Element("code", CleanText.Line(command, LongestCommand)).Close().Close();
            }

            page.Close();
        }

        page.Close();
    }

    private static void SignOff(Page page)
    {
        page.Section("Sign-off", style: "signoff");
        Blank(page, "Test print good, by and when", "Printed by and when", "Cured and checked by", "Customer's sample signed");
        page.Close();
    }

    private static void Blank(Page page, params ReadOnlySpan<string> labels)
    {
        page.Open("div", ("class", "blanks"));
        foreach (string label in labels)
        {
            page.Element("p", label);
        }

        page.Close();
    }

    // Recorded when it was done; the ticket has no clock of its own.
    private static string When(DateTimeOffset time) => time.ToUniversalTime().ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + " UTC";
}
