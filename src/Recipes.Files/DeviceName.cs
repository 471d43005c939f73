using System.Text.RegularExpressions;

namespace Recipes.Files;

/// <summary>
/// Names that Windows gives to devices, whatever follows the dot (its documentation of file names, from memory). They are
/// refused on every system, so that what one shop writes opens in every other.
/// </summary>
internal static partial class DeviceName
{
    /// <summary>True where a file or folder of this name would be a device.</summary>
    public static bool Is(string name) => Device().IsMatch(name);

    [GeneratedRegex("""^(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$) *(\.|\z)""", RegexOptions.CultureInvariant | RegexOptions.IgnoreCase)]
    private static partial Regex Device();
}
