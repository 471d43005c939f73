namespace Recipes.Files;

/// <summary>The names that setups, recipes, keys, causes and parameters bear: small letters, digits and hyphens.</summary>
public static class PlainName
{
    /// <summary>True for 1 to 80 small letters, digits and hyphens, starting with a letter or digit.</summary>
    public static bool Is(string text) =>
        text is { Length: > 0 and <= 80 } && text[0] != '-' && text.All(c => c is (>= 'a' and <= 'z') or (>= '0' and <= '9') or '-');

    /// <summary>True for such a name that a file can be called on every system.</summary>
    public static bool IsOfFile(string text) => Is(text) && !DeviceName.Is(text);
}
