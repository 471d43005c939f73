using System.Diagnostics;
using System.Text;
using Recipes.Hosting.Library;
using Recipes.Hosting.Trust;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Sharing;

/// <summary>A folder with a recipe, a snippet, a case, two keys and a house, which the sharing tests share.</summary>
internal sealed class Bench : IDisposable
{
    public static readonly DateOnly Today = new(2026, 11, 25);

    public Bench()
    {
        Write("shelf/sail-check/sail-check.csx", "#load \"snippets/sail.csx\"\nRecipe.Title(\"Check the sail\");\nRecipe.Version(2);\n");
        Write("shelf/sail-check/snippets/sail.csx", "int Sail() => 1;\n");
        Write("shelf/sail-check/cases/white-sail.json", "{ \"art\": \"sail.png\" }\n");
        Write("shelf/sail-check/sail-check.md", "# sail-check\n");
        Foreman = Key("foreman");
        Stranger = Key("stranger");
    }

    public string Folder { get; } = Directory.CreateTempSubdirectory("recipes-sharing-").FullName;

    public SigningKey Foreman { get; }

    public SigningKey Stranger { get; }

    public string Recipe => At("shelf/sail-check/sail-check.csx");

    public string Lock => At("shelf/sail-check/sail-check.lock");

    public string At(string name) => Path.Combine(Folder, name);

    public string Write(string name, string text)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(At(name))!);
        File.WriteAllText(At(name), text, new UTF8Encoding(false));
        return At(name);
    }

    public RecipeSource Source(string name = "sail-check") => RecipeSource.Read(name, At($"shelf/{name}/{name}.csx"));

    public SigningKey Key(string name)
    {
        if (!File.Exists(At($"keys/{name}.pem")))
        {
            SigningKey.Create(name, At("keys"));
        }

        return SigningKey.Find(name, At("keys"));
    }

    public RecipeLock Approve(SigningKey? key = null, DateOnly? on = null) => Approval.Give(Source(), 2, key ?? Foreman, "Mara", on ?? Today, () => []);

    /// <summary>A house that knows the foreman's key, with this in its entry.</summary>
    public House House(string entry = "", bool demands = true)
    {
        Directory.CreateDirectory(At("house"));
        File.Copy(At("keys/foreman.pub.pem"), At("house/foreman.pem"), overwrite: true);
        Write("house/house.json", $$"""{ "house": 1, "requireApproval": {{(demands ? "true" : "false")}}, "keys": [ { "name": "foreman", "file": "foreman.pem" {{entry}} } ] }""");
        return Hosting.Trust.House.Read([At("nowhere"), At("house")]);
    }

    public static Code CodeOf(Action action) => Should.Throw<ProblemException>(action).Problems[0].Code;

    /// <summary>Runs a program of the system; the exit code and what it wrote.</summary>
    public (int Exit, string Out) Run(string program, params string[] arguments)
    {
        var start = new ProcessStartInfo(program) { WorkingDirectory = Folder, RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        try
        {
            using var process = Process.Start(start)!;
            var errors = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
            string output = process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            return (process.ExitCode, output + errors.GetAwaiter().GetResult());
        }
        catch (System.ComponentModel.Win32Exception) when (Environment.GetEnvironmentVariable("RECIPES_CI") != "1")
        {
            Assert.Skip($"Needs the program {program}.");
            throw;
        }
    }

    public void Dispose() => Directory.Delete(Folder, recursive: true);
}
