namespace Recipes.Hosting.Library;

/// <summary>The recipe that ran.</summary>
/// <param name="Name">Its name on the recipe path, or the file's stem.</param>
/// <param name="Version">As it states it.</param>
/// <param name="Sha256">Of its source and loaded snippets, lower-case hex.</param>
/// <param name="Title">What it does, in a line.</param>
public sealed record RecipeIdentity(string Name, int Version, string Sha256, string Title)
{
    /// <summary>Where no recipe runs, and what was kept is taken as it is.</summary>
    public static RecipeIdentity None { get; } = new("no recipe", 0, "", "As it was kept");
}
