using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Tickets;

/// <summary>What a picture says that is sent for a customer's yes: which art, how large, on which garment, and of which file exactly.</summary>
/// <param name="Art">The art's file name.</param>
/// <param name="Width">Width of what prints, inches; 0 where nothing does.</param>
/// <param name="Height">Height of what prints, inches.</param>
/// <param name="Garment">The garment in words.</param>
/// <param name="Cloth">Its color.</param>
/// <param name="Export">SHA-256 of the exported file that shows the state; null where nothing is exported yet.</param>
/// <param name="State">Hash of the state.</param>
public sealed record ApprovalSheet(string Art, double Width, double Height, string Garment, Rgba8 Cloth, string? Export, string State)
{
    /// <summary>What stands above all.</summary>
    public const string Heading = "FOR APPROVAL: A SIMULATION, NOT A PROOF";

    /// <summary>What nobody may take the picture for.</summary>
    public static ImmutableArray<string> Cautions { get; } =
    [
        "This picture simulates the garment on a screen.",
        "Colors on cloth differ from those on a screen.",
        "Only a test print on the garment shows them.",
    ];

    // Where the customer writes, with room above for a hand.
    private static readonly CaptionLine[] ForTheYes =
    [
        new("", ""), new("Yes", $"Print it so. Name {new string('_', 27)} Date {new string('_', 18)}"),
    ];

    private const int LongestName = 120, LongestLabel = 8;

    /// <summary>What it says of the order: its number and the like.</summary>
    public ImmutableArray<TicketField> Fields { get; init; } = [];

    /// <summary>True where the picture shows the ink and a margin alone.</summary>
    public bool IsPart { get; init; }

    /// <summary>True where the picture writes something otherwise than it is, for want of letters.</summary>
    public bool IsRespelled => Said.Any(line => Lettering.Spell(line.Text) != line.Text);

    /// <summary>The sheet of a state on a cloth.</summary>
    /// <param name="state">The art as it is to be printed.</param>
    /// <param name="shown">The setup, on the cloth that is shown.</param>
    public static ApprovalSheet Of(ArtState state, GarmentSetup shown)
    {
        ArgumentNullException.ThrowIfNull(state);
        ArgumentNullException.ThrowIfNull(shown);
        double ppi = shown.ResolutionFor(state.Art);
        var box = Find.Printing(state.Art.Flat, shown.Ink).Bounds ?? default;
        string garment = GarmentStock.Of(shown) is { } stock ? stock.InWords() : shown.Name;
        return new ApprovalSheet(
            Path.GetFileName(state.Identity.Path.Replace('\\', '/')), box.Width / ppi, box.Height / ppi, garment, shown.Garment.WithAlpha(255),
            TicketCode.ExportOf(state)?.Sha256, state.StateSha256);
    }

    /// <summary>The printed size in words.</summary>
    public string Size => Width == 0 ? "nothing prints" : string.Create(CultureInfo.InvariantCulture,
        $"{Width:0.00} x {Height:0.00} in ({Width * 25.4:0} x {Height * 25.4:0} mm)");

    /// <summary>The lines of the picture, labels and texts; they end with the customer's.</summary>
    public ImmutableArray<CaptionLine> Lines =>
    [
        .. Told, .. ForTheYes,
    ];

    /// <summary>What it tells, without the line that the customer fills in.</summary>
    public ImmutableArray<CaptionLine> Told =>
    [
        .. Said, .. IsRespelled ? (CaptionLine[])[new("Letters", Respelled)] : [], .. IsPart ? (CaptionLine[])[new("Shown", Part)] : [],
        .. Cautions.Select((caution, i) => new CaptionLine(i == 0 ? "Mind" : "", caution)),
    ];

    private const string Part = "The ink and a margin, not all of the print area.";

    private const string Respelled = "This picture writes no accents, and letters that it lacks as their codes, <U+732B> for instance.";

    private IEnumerable<CaptionLine> Said =>
    [
        .. Fields.Select(said => said.Name == "order" ? new CaptionLine("Order", said.Value)
            : said.Label.Length <= LongestLabel ? new CaptionLine(said.Label, said.Value) : new CaptionLine("", $"{said.Label}: {said.Value}")),
        new("Art", CleanText.Line(Art, LongestName)), new("Printed", Size), new("Garment", $"{CleanText.Line(Garment, LongestName)}, {Cloth}"),
        Export is null ? new("State", $"{State} (not exported yet)") : new("File", $"SHA-256 {Export}"),
    ];

    /// <summary>The picture: the simulated garment with cloth around it, and below it what the sheet says.</summary>
    /// <param name="preview">What <see cref="PrintPreview"/> drew, or a part of it.</param>
    public Plane<Rgba8> Draw(Plane<Rgba8> preview)
    {
        ArgumentNullException.ThrowIfNull(preview);
        int n = Overview.ShrinkOf(preview.Grid);
        return CaptionedPicture.Render(
            n == 1 ? preview : Resample.To(preview, (preview.Width + n - 1) / n, (preview.Height + n - 1) / n), Cloth, Heading, Lines);
    }

    /// <summary>What the picture holds, for scripts.</summary>
    public JsonObject ToJson() => new()
    {
        ["art"] = Art,
        ["fields"] = new JsonObject([.. Fields.Select(said => KeyValuePair.Create(said.Name, (JsonNode?)said.Value))]),
        ["respelled"] = IsRespelled,
        ["printed"] = Width == 0 ? null : new JsonObject
        {
            ["widthIn"] = Math.Round(Width, 3), ["heightIn"] = Math.Round(Height, 3),
            ["widthMm"] = Math.Round(Width * 25.4, 1), ["heightMm"] = Math.Round(Height * 25.4, 1),
        },
        ["garment"] = Garment,
        ["cloth"] = Cloth.ToString(),
        ["hash"] = new JsonObject { ["of"] = Export is null ? "state" : "export", ["sha256"] = Export ?? State },
        ["cautions"] = new JsonArray([.. Cautions.Select(caution => (JsonNode)caution)]),
    };
}
