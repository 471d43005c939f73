namespace Recipes.Hosting.Tickets;

/// <summary>Which files are tickets of ours, and the color strips beside them: neither is a customer's, and a ticket may be written anew.</summary>
public static class TicketFile
{
    /// <summary>How the strip's name goes on where the ticket's ends.</summary>
    public const string StripEnding = "-strip.png";

    // The title stands behind the style.
    private const int Head = 65536;

    /// <summary>A ticket's title; a page names its art in it.</summary>
    public static string Title(string artName) => $"Ticket: {artName}";

    /// <summary>True where a file is a ticket; of a name that HTML writes otherwise only that it is one is known.</summary>
    /// <param name="path">The file.</param>
    /// <param name="artName">The art's file name; null for any.</param>
    public static bool Is(string path, string? artName = null)
    {
        try
        {
            var head = new char[Head];
            using var reader = new StreamReader(path);
            return new string(head, 0, reader.ReadBlock(head)).Contains(
                artName is null ? $"<title>{Title("")}" : $"<title>{Title(artName)}</title>", StringComparison.Ordinal);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    /// <summary>True where a picture is the color strip of the ticket beside it.</summary>
    public static bool IsStrip(string picture) => picture is not null && picture.EndsWith(StripEnding, StringComparison.OrdinalIgnoreCase)
        && Is(picture[..^StripEnding.Length] + ".html");
}
