namespace Recipes.Hosting.Words;

/// <summary>An enumeration's value as files, answers and messages write it.</summary>
public static class EnumWord
{
    /// <summary>Its name in small letters.</summary>
    public static string Of<T>(T value)
        where T : struct, Enum => value.ToString().ToLowerInvariant();
}
