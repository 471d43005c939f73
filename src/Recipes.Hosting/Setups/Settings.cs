using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Setups;

/// <summary>The user's settings, <c>settings.json</c> in the config folder.</summary>
/// <param name="Setup">The garment setup chosen with <c>setups use</c>.</param>
/// <param name="By">Who is recorded for a step where <c>--by</c> isn't given; never guessed.</param>
public sealed record Settings(string? Setup, string? By)
{
    private const long Longest = 64 * 1024;

    private static string? FilePath => UserFolders.Config is { } folder ? Path.Combine(folder, "settings.json") : null;

    /// <summary>Reads the settings; empty where there are none.</summary>
    /// <exception cref="ProblemException">R1007 the file is malformed.</exception>
    public static Settings Read()
    {
        if (FilePath is not { } path || !File.Exists(path))
        {
            return new Settings(null, null);
        }

        var root = OutsideJson.ReadFile(path, Longest) ?? throw new ProblemException(
            Codes.BadSetup, "The settings file can't be read.", "Mend it or delete it.", new Place(path));
        return new Settings(root.Text("setup"), root.Text("by"));
    }

    /// <summary>Chooses the garment setup for files that have no steps yet.</summary>
    /// <param name="name">A setup's name; no file, which could be moved away.</param>
    /// <exception cref="ProblemException">R1006 there is none of that name; R1007 it or the settings can't be read; R8002 they can't be written.</exception>
    public static GarmentSetup Choose(string name)
    {
        if (!PlainName.IsOfFile(name))
        {
            throw new ProblemException(Codes.UnknownSetup, $"'{CleanText.Line(name, 80)}' is not a setup's name.",
                "'setups use' takes a name. Put a setup file of your own into the setups folder of your configuration first; docs/setups.md says where.");
        }

        var setup = SetupStore.Find(name);
        (Read() with { Setup = setup.Name }).Write();
        return setup;
    }

    /// <summary>Writes the settings.</summary>
    /// <exception cref="ProblemException">R8002 they can't be written.</exception>
    public void Write()
    {
        string path = FilePath ?? throw new ProblemException(Codes.OutputUnwritable, "There is no home folder to keep settings in.",
            "Set HOME, or name the setup with --setup each time.");
        AtomicFile.CreateFolder(Path.GetDirectoryName(path)!);
        var json = new JsonObject { ["setup"] = Setup, ["by"] = By };
        AtomicFile.Write(path, stream => JsonSerializer.Serialize(stream, json));
    }
}
