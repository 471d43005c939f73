using System.Collections.Immutable;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Tickets;
using Recipes.Problems;

namespace Recipes.Hosting.Exports;

/// <summary>A ticket that is to be written.</summary>
/// <param name="Art">The art.</param>
/// <param name="Path">The page, an .html file; the color strip is written beside it as <c>NAME-strip.png</c>.</param>
public sealed record TicketRequest(ArtReference Art, string Path)
{
    /// <summary>True: replaces what is there.</summary>
    public bool Force { get; init; }

    /// <summary>The state that somebody saw and means; null for the one that is found.</summary>
    public string? StateSha256 { get; init; }

    /// <summary>What it says of the order.</summary>
    public ImmutableArray<TicketField> Fields { get; init; } = [];
}

/// <summary>A ticket that was written.</summary>
/// <param name="Ticket">What it says.</param>
/// <param name="Brackets">The commands that make a bracket around each affected color.</param>
/// <param name="StripPath">The color strip, or null where nothing prints.</param>
/// <param name="Planes">The white ink under the strip.</param>
public sealed record TicketSheet(Ticket Ticket, ImmutableArray<string> Brackets, string? StripPath, IReadOnlyList<SeparationFiles> Planes)
{
    /// <summary>What to know about it; that a test must be printed first, for instance.</summary>
    public IEnumerable<Problem> Warnings =>
        [.. SeparationFiles.Warning(Ticket.State.Art), .. TestFirst(), .. Ticket.SizeNotListed is { } size ? [size] : (Problem[])[]];

    /// <summary>Writes it, and goes on while the work file is open.</summary>
    /// <exception cref="ProblemException">R1008 nobody chose the setup; R3 codes the art can't be read; R8 codes a file can't be written.</exception>
    public static T Write<T>(Shop shop, TicketRequest request, Func<TicketSheet, T> then)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(then);
        string path = request.Path;
        string stripPath = System.IO.Path.ChangeExtension(path, null) + TicketFile.StripEnding;
        using var open = OpenArt.Of(shop, request.Art, toWrite: true, refuse: () => Refuse(request, path));
        var state = open.State(shop.Workers);
        state.RequireSeen(request.StateSha256);
        var ticket = shop.Progress.During("Looking", () => shop.Timings.Measure("check", () => Ticket.Of(state))) with { Fields = request.Fields };
        IReadOnlyList<SeparationFiles> planes = ticket.Strip is { } strip ? SeparationFiles.Of(strip, stripPath) : [];
        foreach (string beside in ticket.Strip is null ? [] : planes.Select(plane => plane.Path).Prepend(stripPath))
        {
            Refuse(request, beside);
        }

        var sheet = new TicketSheet(ticket, ticket.Brackets(request.Art.Setup ?? state.Setup.Name), ticket.Strip is null ? null : stripPath, planes);
        shop.Cancel.ThrowIfCancellationRequested();
        shop.Progress.During("Writing the ticket", () => shop.Timings.Measure("ticket", () =>
        {
            AtomicFile.WriteAll([.. sheet.Files(path).Select(written => (written.Path, written.Write, request.Force))]);
            return true;
        }));
        return then(sheet);
    }

    private IEnumerable<(string Path, Action<Stream> Write)> Files(string path)
    {
        if (Ticket.Strip is { } art)
        {
            var setup = Ticket.State.Setup;
            PngText[] says = [new PngText(PngText.Provenance, TestSheet.Strip.ToJson(setup.Name, Ticket.Colors.Select(color => color.Color.ToString())))];
            foreach (var plane in Planes)
            {
                yield return (plane.Path, stream => PngWriter.Write(stream, plane.Ink, setup.PixelsPerInch, says));
            }

            yield return (StripPath!, stream => PngWriter.Write(stream, art.Flat, setup.PixelsPerInch, says));
        }

        yield return (path, stream => TicketPage.Write(stream, Ticket, Brackets, PngWriter.Encode));
    }

    private IEnumerable<Problem> TestFirst() => !Ticket.Repeat.TestFirst ? [] :
    [
        new Problem(
            Codes.TestFirst, $"TEST FIRST: {Reasons(Ticket.Repeat)}.",
            $"Print a test before the order{(Brackets.IsEmpty ? "" : "; the ticket names the brackets that help")}.",
            new Place(Ticket.State.File.Path), Severity.Warning),
    ];

    private static void Refuse(TicketRequest request, string path)
    {
        AtomicFile.RefuseOriginal(path, request.Art.Path);
        if (!request.Force && File.Exists(path))
        {
            throw AtomicFile.Exists(path);
        }
    }

    private static string Reasons(Repeat repeat) => string.Join("; ", (string[])
    [
        .. repeat.Changes.IsEmpty ? (string[])[] : [$"changed since the last good print: {string.Join(", ", repeat.Changes.Select(change => change.What))}"],
        .. repeat.BadSince is null ? (string[])[] : ["the last print was bad"],
    ]);
}
