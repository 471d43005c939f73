using System.Collections;
using System.Collections.Immutable;
using QRCoder;
using Recipes.Hosting.Arts;
using Recipes.Work;

namespace Recipes.Hosting.Tickets;

/// <summary>
/// What a machine reads off a ticket: a QR symbol (ISO/IEC 18004) of the exported file's hash, or of the state's where nothing is exported, and of the order
/// number where there is one.
/// </summary>
/// <param name="Text">
/// <c>export=HASH order=NUMBER</c> or <c>state=HASH order=NUMBER</c>. The hash is 64 hex digits; the order is all that follows, and left out where the
/// ticket has none.
/// </param>
/// <param name="Export">SHA-256 of the exported file that shows this state, or null where there is none.</param>
public sealed record TicketCode(string Text, string? Export)
{
    /// <summary>White modules around the symbol, as the standard asks.</summary>
    public const int QuietZone = 4;

    /// <summary>The code of a ticket.</summary>
    /// <param name="state">The art as it is to be printed.</param>
    /// <param name="fields">What the ticket says of the order.</param>
    public static TicketCode Of(ArtState state, ImmutableArray<TicketField> fields)
    {
        ArgumentNullException.ThrowIfNull(state);
        string? export = ExportOf(state)?.Sha256;
        string order = fields.FirstOrDefault(field => field.Name == "order") is { } field ? $" order={field.Value}" : "";
        return new TicketCode($"{(export is null ? "state" : "export")}={export ?? state.StateSha256}{order}", export);
    }

    /// <summary>The last file that was exported from this state of this very art, or null; of a picture and its planes of white ink the picture.</summary>
    public static ExportRecord? ExportOf(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        return state.OwnWork?.Line(state.Setup.Name).Exports.Where(export => export.Step == state.Step)
            .OrderByDescending(export => export.At).ThenBy(export => export.Path.Length).ThenBy(export => export.Path, StringComparer.Ordinal).FirstOrDefault();
    }

    /// <summary>The symbol's rows of modules, true for dark, without the quiet zone; error correction M, which 15% of damage doesn't break.</summary>
    public ImmutableArray<ImmutableArray<bool>> Modules()
    {
        using var generator = new QRCodeGenerator();
        using var code = generator.CreateQrCode(Text, QRCodeGenerator.ECCLevel.M, forceUtf8: true);
        // The library draws the quiet zone, too.
        return [.. code.ModuleMatrix.Skip(QuietZone).SkipLast(QuietZone)
            .Select(row => (ImmutableArray<bool>)[.. row.Cast<bool>().Skip(QuietZone).SkipLast(QuietZone)])];
    }
}
