using System.Runtime.CompilerServices;

namespace Recipes.Desk.Tests;

/// <summary>A home for all tests here, which nothing else has written to: settings, setups and caches of whoever runs them stay out.</summary>
internal static class Home
{
    /// <summary>Its folder.</summary>
    public static string Folder { get; } = Directory.CreateTempSubdirectory("recipes-desk-home-").FullName;

    [ModuleInitializer]
    internal static void Move()
    {
        Environment.SetEnvironmentVariable("HOME", Folder);
        Environment.SetEnvironmentVariable("RECIPES_PATH", null);
        Environment.SetEnvironmentVariable("RECIPES_HOUSE", null);
        foreach (string name in (string[])["XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME"])
        {
            Environment.SetEnvironmentVariable(name, null);
        }
    }
}
