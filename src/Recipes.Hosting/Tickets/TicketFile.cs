using System.Text;
using Recipes.Files;

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

    /// <summary>True where a file is a ticket.</summary>
    /// <param name="path">The file.</param>
    /// <param name="artName">The art's file name; null for any.</param>
    public static bool Is(string path, string? artName = null)
    {
        try
        {
            string head = Encoding.UTF8.GetString(OutsideFile.Head(path, Head));
            // As a page writes a name: markup of XML 1.0, 2.4.
            string title = Title(artName ?? "").Replace("&", "&amp;", StringComparison.Ordinal).Replace("<", "&lt;", StringComparison.Ordinal)
                .Replace(">", "&gt;", StringComparison.Ordinal);
            return head.Contains(artName is null ? $"<title>{title}" : $"<title>{title}</title>", StringComparison.Ordinal);
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
