using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Runtime.InteropServices;
using System.Text.RegularExpressions;
using System.Xml.Linq;

namespace Recipes.Imaging.Tests;

/// <summary>The arrows between the projects point one way, and each outside library lives in one place.</summary>
public partial class ArchitectureTests
{
    /// <summary>What a project may refer to: projects and packages; a package ending in a dot stands for all that begin with it.</summary>
    private sealed record Arrows(string[] Projects, string[] Packages);

    private static readonly Dictionary<string, Arrows> Allowed = new()
    {
        ["Recipes.Problems"] = new([], []),
        ["Recipes.Imaging"] = new([], []),
        ["Recipes.Jail"] = new([], []),
        ["Recipes.Api"] = new(["Recipes.Imaging"], []),
        ["Recipes.Checking"] = new(["Recipes.Problems"], []),
        ["Recipes.Protocol"] = new(["Recipes.Imaging"], []),
        ["Recipes.Files"] = new(["Recipes.Problems"], ["Serilog"]),
        ["Recipes.Codecs"] = new(["Recipes.Imaging", "Recipes.Problems"], []),
        ["Recipes.Work"] = new(["Recipes.Codecs", "Recipes.Files", "Recipes.Imaging", "Recipes.Problems"], ["Microsoft.Data.Sqlite", "SQLitePCLRaw."]),
        ["Recipes.Decoders"] = new(["Recipes.Imaging", "Recipes.Problems"], ["NetVips", "NetVips.Native.", "SixLabors.ImageSharp"]),
        ["Recipes.Scripting"] = new(["Recipes.Api", "Recipes.Checking", "Recipes.Imaging", "Recipes.Problems", "Recipes.Protocol"],
            ["Microsoft.CodeAnalysis", "Microsoft.CodeAnalysis.", "Basic.Reference.Assemblies.Net100"]),
        ["Recipes.Worker"] = new(["Recipes.Api", "Recipes.Checking", "Recipes.Decoders", "Recipes.Imaging", "Recipes.Jail", "Recipes.Problems",
            "Recipes.Protocol",
            "Recipes.Scripting"], []),
        ["Recipes.Hosting"] = new(["Recipes.Checking", "Recipes.Codecs", "Recipes.Files", "Recipes.Imaging", "Recipes.Jail", "Recipes.Problems",
            "Recipes.Protocol",
            "Recipes.Work"], ["QRCoder", "Serilog"]),
        ["Recipes.Desk"] = new(["Recipes.Files", "Recipes.Hosting", "Recipes.Imaging", "Recipes.Problems", "Recipes.Work"],
            // The web server comes with its runtime; no package is restored.
            ["Microsoft.AspNetCore", "Microsoft.AspNetCore.", "Microsoft.Extensions.", "Microsoft.Net.Http.Headers"]),
        ["Recipes.Cli"] = new(["Recipes.Codecs", "Recipes.Files", "Recipes.Hosting", "Recipes.Imaging", "Recipes.Jail", "Recipes.Problems", "Recipes.Protocol",
            "Recipes.Work"], ["Serilog", "Serilog.Sinks.", "Spectre.Console", "Spectre.Console.", "System.CommandLine"]),
    };

    // The program starts the worker and the desk as processes of their own: built first, never referred to.
    private static readonly HashSet<(string, string)> BuildOrderOnly = [("Recipes.Cli", "Recipes.Worker"), ("Recipes.Cli", "Recipes.Desk")];

    /// <summary>The folder with the solution.</summary>
    internal static readonly string Root = FindRoot();

    private static readonly string[] Projects = [.. Directory.GetDirectories(Path.Combine(Root, "src")).SelectMany(folder => Directory.GetFiles(folder, "*.csproj"))];

    [Fact]
    public void Projects_refer_only_along_the_arrows()
    {
        Projects.Length.ShouldBeGreaterThanOrEqualTo(Allowed.Count);
        // What the common build rules refer to, every project refers to.
        var shared = Directory.GetFiles(Path.Combine(Root, "src"), "Directory.Build.*").Select(XDocument.Load).ToList();
        Projects.SelectMany(path => shared.Concat(WithImports(path)).SelectMany(file => Violations(Path.GetFileNameWithoutExtension(path), file)))
            .ShouldBeEmpty();
        Projects.SelectMany(WithImports).Count().ShouldBeGreaterThan(Projects.Length);
    }

    [Fact]
    public void Built_assemblies_refer_only_along_the_arrows()
    {
        var built = Projects.Select(path => (Name: Path.GetFileNameWithoutExtension(path), File: Built(path))).Where(project => File.Exists(project.File)).ToList();
        built.Select(project => project.Name).ShouldContain("Recipes.Imaging");
        built.SelectMany(project => Violations(project.Name, References(project.File))).ShouldBeEmpty();
    }

    [Fact]
    public void All_JSON_comes_in_by_the_door_that_counts_it() =>
        Directory.GetFiles(Path.Combine(Root, "src"), "*.cs", SearchOption.AllDirectories)
            .Where(file => !file.Contains($"{Path.DirectorySeparatorChar}obj{Path.DirectorySeparatorChar}", StringComparison.Ordinal)
                && JsonReaders().IsMatch(File.ReadAllText(file)))
            .Select(Path.GetFileName).ShouldBe(["OutsideJson.cs"]);

    [GeneratedRegex(@"\b(JsonDocument|JsonNode|JsonObject|JsonArray|JsonElement)\.Parse\w*\(|\bJsonSerializer\.Deserialize|\bUtf8JsonReader\b")]
    private static partial Regex JsonReaders();

    [Fact]
    public void A_wrong_arrow_is_named_in_a_sentence()
    {
        var project = XDocument.Parse("""
            <Project>
              <ItemGroup>
                <ProjectReference Include="..\Recipes.Codecs\Recipes.Codecs.csproj" />
                <PackageReference Include="SkiaSharp" />
                <PackageReference Include="Unwanted" ExcludeAssets="all" />
                <Reference Include="Stray" />
                <FrameworkReference Include="Microsoft.AspNetCore.App" />
              </ItemGroup>
            </Project>
            """);
        Violations("Recipes.Imaging", project).ShouldBe(
        [
            "Recipes.Imaging refers to the project Recipes.Codecs; no arrow points from Recipes.Imaging to Recipes.Codecs.",
            "Recipes.Imaging refers to the package SkiaSharp; no arrow points from Recipes.Imaging to SkiaSharp.",
            "Recipes.Imaging refers to the assembly Stray; no arrow points from Recipes.Imaging to Stray.",
            "Recipes.Imaging refers to the framework Microsoft.AspNetCore.App; no arrow points from Recipes.Imaging to Microsoft.AspNetCore.App.",
        ]);
        Violations("Recipes.Codecs", ["System.Runtime", "Recipes.Imaging", "SixLabors.ImageSharp", "Recipes.Hosting"]).ShouldBe(
        [
            "Recipes.Codecs refers to the assembly SixLabors.ImageSharp; no arrow points from Recipes.Codecs to SixLabors.ImageSharp.",
            "Recipes.Codecs refers to the assembly Recipes.Hosting; no arrow points from Recipes.Codecs to Recipes.Hosting.",
        ]);
        Violations("Recipes.Worker", ["Microsoft.CodeAnalysis"]).ShouldHaveSingleItem();
        // Two arrows away is too far: no reference is inherited.
        Violations("Recipes.Decoders", ["Recipes.Codecs"]).ShouldHaveSingleItem();
        Violations("Recipes.Cli", ["Recipes.Checking"]).ShouldHaveSingleItem();
        Violations("Recipes.Web", new XDocument(new XElement("Project"))).ShouldBe(["Recipes.Web has no line in the table of arrows."]);
    }

    [Fact]
    public void The_worker_is_built_before_the_program_and_never_referred_to()
    {
        const string Reference = """<ProjectReference Include="../Recipes.Worker/Recipes.Worker.csproj" ReferenceOutputAssembly="VALUE" />""";
        Check("false").ShouldBeEmpty();
        Check("true").ShouldHaveSingleItem();

        static IEnumerable<string> Check(string value) => Violations("Recipes.Cli",
            XDocument.Parse($"<Project><ItemGroup>{Reference.Replace("VALUE", value, StringComparison.Ordinal)}</ItemGroup></Project>"));
    }

    [Fact]
    public void Arrows_point_one_way()
    {
        foreach (var (name, arrows) in Allowed)
        {
            arrows.Projects.ShouldAllBe(target => Allowed.ContainsKey(target));
            Reach(name).ShouldNotContain(name);
        }
    }

    [Fact]
    public void Every_project_has_a_lock_file() => new[] { "src", "tests" }
        .SelectMany(folder => Directory.GetDirectories(Path.Combine(Root, folder)))
        .Where(folder => Directory.GetFiles(folder, "*.csproj").Length > 0 && !File.Exists(Path.Combine(folder, "packages.lock.json")))
        .Select(folder => $"{Path.GetRelativePath(Root, folder)} has no packages.lock.json.").ShouldBeEmpty();

    [Fact]
    public void Names_say_what_a_thing_is()
    {
        Vague().IsMatch("PixelHelpers").ShouldBeTrue();
        var output = new HashSet<string> { "bin", "obj" };
        Directory.EnumerateFileSystemEntries(Path.Combine(Root, "src"), "*", SearchOption.AllDirectories)
            .Select(path => Path.GetRelativePath(Root, path))
            .Where(path => !path.Split(Path.DirectorySeparatorChar).Any(output.Contains))
            .Where(path => Vague().IsMatch(Path.GetFileNameWithoutExtension(path)))
            .Select(path => $"{path} names no feature.").ShouldBeEmpty();
    }

    [GeneratedRegex("Util|Helper|Manager|Common", RegexOptions.IgnoreCase)]
    private static partial Regex Vague();

    // A project's file, and what it imports of ours.
    private static IEnumerable<XDocument> WithImports(string path)
    {
        var file = XDocument.Load(path);
        return file.Descendants("Import").Select(import => Path.Combine(Path.GetDirectoryName(path)!, (string)import.Attribute("Project")!))
            .Select(XDocument.Load).Prepend(file);
    }

    private static IEnumerable<string> Violations(string project, XDocument file)
    {
        if (!Allowed.TryGetValue(project, out var arrows))
        {
            return [$"{project} has no line in the table of arrows."];
        }

        return References().Where(reference => !reference.Allowed).Select(reference => Sentence(project, reference.Kind, reference.Name));

        IEnumerable<(string Kind, string Name, bool Allowed)> References()
        {
            foreach (var element in file.Descendants())
            {
                string name = (string?)element.Attribute("Include") ?? "";
                switch (element.Name.LocalName)
                {
                    case "ProjectReference":
                        name = Path.GetFileNameWithoutExtension(name.Replace('\\', '/'));
                        bool linked = !string.Equals(
                            (string?)element.Attribute("ReferenceOutputAssembly") ?? element.Elements().FirstOrDefault(e => e.Name.LocalName == "ReferenceOutputAssembly")?.Value,
                            "false", StringComparison.OrdinalIgnoreCase);
                        yield return ("project", name, arrows.Projects.Contains(name) || (!linked && BuildOrderOnly.Contains((project, name))));
                        break;
                    case "PackageReference":
                        // What is named to keep its files out is used by nobody.
                        yield return ("package", name, MayUse(arrows, name) || (string?)element.Attribute("ExcludeAssets") == "all");
                        break;
                    case "Reference":
                        yield return ("assembly", name, false);
                        break;
                    case "FrameworkReference":
                        yield return ("framework", name, false);
                        break;
                }
            }
        }
    }

    // A compiler writes down the assemblies whose types the code uses, and leaves out what is only named in the project's file.
    private static IEnumerable<string> Violations(string project, IEnumerable<string> assemblies) => assemblies
        .Where(name => !IsBaseClassLibrary(name) && !Allowed[project].Projects.Contains(name) && !MayUse(Allowed[project], name))
        .Select(name => Sentence(project, "assembly", name));

    private static string Sentence(string project, string kind, string target) =>
        $"{project} refers to the {kind} {target}; no arrow points from {project} to {target}.";

    private static bool MayUse(Arrows arrows, string package) =>
        arrows.Packages.Any(allowed => allowed.EndsWith('.') ? package.StartsWith(allowed, StringComparison.Ordinal) : package == allowed);

    private static HashSet<string> Reach(string project)
    {
        var reach = new HashSet<string>();
        var next = new Queue<string>(Allowed[project].Projects);
        while (next.TryDequeue(out var name))
        {
            if (reach.Add(name))
            {
                Array.ForEach(Allowed[name].Projects, next.Enqueue);
            }
        }

        return reach;
    }

    // By the runtime's own folder, since packages have names in System. and Microsoft. too.
    private static bool IsBaseClassLibrary(string name) => File.Exists(Path.Combine(RuntimeEnvironment.GetRuntimeDirectory(), name + ".dll"));

    private static IEnumerable<string> References(string assembly)
    {
        using var reader = new PEReader(File.OpenRead(assembly));
        var metadata = reader.GetMetadataReader();
        return [.. metadata.AssemblyReferences.Select(handle => metadata.GetString(metadata.GetAssemblyReference(handle).Name))];
    }

    // Of the same configuration as this test, so that an old build elsewhere isn't judged.
    private static string Built(string project)
    {
        var here = new DirectoryInfo(AppContext.BaseDirectory.TrimEnd(Path.DirectorySeparatorChar));
        string name = XDocument.Load(project).Descendants("AssemblyName").FirstOrDefault()?.Value ?? Path.GetFileNameWithoutExtension(project);
        return Path.Combine(Path.GetDirectoryName(project)!, "bin", here.Parent!.Name, here.Name, name + ".dll");
    }

    private static string FindRoot()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "Recipes.sln")))
        {
            folder = folder.Parent;
        }

        return folder?.FullName ?? throw new InvalidOperationException("Recipes.sln lies in none of the folders above the test.");
    }
}
