using System.Collections.Immutable;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Exports;

/// <summary>An art that is to be shown as the garment will.</summary>
/// <param name="Art">The art.</param>
/// <param name="Path">Where it is written, as .png.</param>
public sealed record PreviewRequest(ArtReference Art, string Path)
{
    /// <summary>True: takes the place of a file that is there.</summary>
    public bool Force { get; init; }

    /// <summary>Another color of the cloth than the setup's, or null.</summary>
    public Rgba8? Cloth { get; init; }

    /// <summary>True: what stays bare is marked with a weave.</summary>
    public bool MarkBare { get; init; }

    /// <summary>True: the picture says which art, size, garment and file it shows, for the customer's yes.</summary>
    public bool ForApproval { get; init; }

    /// <summary>What that picture says of the order.</summary>
    public ImmutableArray<TicketField> Fields { get; init; } = [];
}

/// <summary>What the garment will show, simulated.</summary>
/// <param name="State">The art.</param>
/// <param name="Setup">The garment setup, on the cloth that was asked for.</param>
/// <param name="Picture">The picture.</param>
/// <param name="White">What white ink lies under it, in words.</param>
/// <param name="Sheet">What the picture says for the customer's yes, or null.</param>
public sealed record Preview(ArtState State, GarmentSetup Setup, Plane<Rgba8> Picture, string White, ApprovalSheet? Sheet)
{
    /// <summary>What every preview says.</summary>
    public const string Caution = "A simulation on a screen, not a proof: a cured print decides.";

    /// <summary>Draws and writes it, and goes on while the work file is open.</summary>
    /// <exception cref="ProblemException">
    /// R3 codes the art can't be read; R1006, R1007 no such setup; R8001 the file exists or is the art; R8002 it can't be written.
    /// </exception>
    public static T Draw<T>(Shop shop, PreviewRequest request, Func<Preview, T> then)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(then);
        using var open = OpenArt.Of(shop, request.Art, refuse: () => Refuse(request));
        var state = open.State(shop.Workers);
        var setup = request.Cloth is { } cloth ? state.Setup with { Garment = cloth } : state.Setup;
        var second = setup.Underbase == Underbase.File ? state.Art.SecondPass : null;
        var picture = shop.Progress.During("Drawing the preview", () => shop.Timings.Measure("preview", () =>
            PrintPreview.Render(state.Art.Flat, setup, WhiteUnderbase.For(state.Art, setup), second, request.MarkBare)));
        // Of a platen with a left chest the customer would see little but cloth.
        var window = InkWindow.Of(setup, [], state.Art.Flat);
        var sheet = request.ForApproval ? ApprovalSheet.Of(state, setup) with { Fields = request.Fields, IsPart = !window.IsWhole } : null;
        var preview = new Preview(state, setup, sheet?.Draw(window.Of(picture)) ?? picture, WhiteOf(state.Art, setup), sheet);
        shop.Cancel.ThrowIfCancellationRequested();
        preview.Write(request.Path, request.Force);
        return then(preview);
    }

    private static void Refuse(PreviewRequest request)
    {
        AtomicFile.RefuseOriginal(request.Path, request.Art.Path);
        if (!request.Force && File.Exists(request.Path))
        {
            throw AtomicFile.Exists(request.Path);
        }
    }

    // A PNG that says what it is.
    private void Write(string path, bool replace)
    {
        string says = $"Preview of {Path.GetFileName(State.File.Path)}, step {State.Step}, setup {Setup.Name}, garment {Setup.Garment}; {White}. {Caution}";
        AtomicFile.Write(path, stream => PngWriter.Write(
            stream, Picture, Sheet is null ? State.Art.PixelsPerInch : null, [new PngText("Comment", CleanText.Line(says, 1000))]), replace);
    }

    private static string WhiteOf(Artwork art, GarmentSetup setup) => (setup.Underbase, art.Underbase, art.SecondPass) switch
    {
        (Underbase.None, _, _) => "no white ink: colors lie on bare cloth",
        (not Underbase.File, _, _) => "the machine's underbase, estimated",
        (_, null, _) => "no underbase: colors lie on bare cloth",
        (_, _, null) => "the file's underbase",
        _ => "the file's underbase and second pass",
    };
}
