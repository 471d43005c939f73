[assembly: AssemblyFixture(typeof(Recipes.Hosting.Tests.UseCases.OwnHome))]

namespace Recipes.Hosting.Tests.UseCases;

/// <summary>A home that nothing else has written to, for all tests of the assembly: settings, journal and cache are the process's.</summary>
public sealed class OwnHome : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-home-").FullName;

    public OwnHome()
    {
        Environment.SetEnvironmentVariable("HOME", folder);
        foreach (string variable in (string[])["XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME", "RECIPES_PATH", "RECIPES_HOUSE"])
        {
            Environment.SetEnvironmentVariable(variable, null);
        }
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);
}
