using System.Reflection;
using System.Text.RegularExpressions;
using Recipes.Tests;

namespace Recipes.Imaging.Tests;

/// <summary>
/// Imaging's folders: one subject each, in an order, and each refers to earlier ones only. Recipes name its types, so most share a namespace, and a type's
/// room is the folder that it is written in.
/// </summary>
public partial class RoomTests
{
    /// <summary>The rooms in their order, as DEVELOPERS.md lists them.</summary>
    private static readonly string[] Rooms =
        ["Model", "Color", "Regions", "Art", "Mixes", "Ink", "Cleaning", "Resampling", "Pictures", "Charts", "TestPrints"];

    private static readonly Assembly Imaging = typeof(Artwork).Assembly;

    private static readonly ILookup<string, string> Folders = Written();

    [Fact]
    public void Each_room_refers_to_earlier_ones_only() => RoomArrows.Wrong(Imaging, Rooms, RoomOf).ShouldBeEmpty();

    [Fact]
    public void Every_type_lies_in_a_room() => RoomArrows.Of(Imaging, RoomOf).Order().ShouldBe(Rooms.Order());

    [Fact]
    public void A_type_is_written_in_one_room() =>
        Folders.Where(name => name.Distinct().Count() > 1).Select(name => $"{name.Key}: {string.Join(", ", name.Distinct())}").ShouldBeEmpty();

    [Fact]
    public void A_wrong_arrow_is_seen()
    {
        string[] turned = ["Mixes", .. Rooms.Where(room => room != "Mixes")];
        RoomArrows.Wrong(Imaging, turned, RoomOf).ShouldContain(line => line.StartsWith("Mixes refers to Regions, which comes later: ")
            && line.Contains(nameof(Rims)) && line.Contains(typeof(Region).FullName!));
    }

    private static string RoomOf(Type type)
    {
        while (type.DeclaringType is { } outer)
        {
            type = outer;
        }

        return Folders[type.Name.Split('`')[0]].Distinct().SingleOrDefault() ?? "";
    }

    // Types that aren't nested, and the folders of the files that declare them.
    private static ILookup<string, string> Written()
    {
        string root = Path.Combine(ArchitectureTests.Root, "src", "Recipes.Imaging");
        return (from file in Directory.EnumerateFiles(root, "*.cs", SearchOption.AllDirectories)
                let folder = Path.GetDirectoryName(Path.GetRelativePath(root, file))!
                where folder.Split(Path.DirectorySeparatorChar)[0] is not ("bin" or "obj")
                from Match declared in Declaration().Matches(File.ReadAllText(file))
                select (Name: declared.Groups[1].Value, folder)).ToLookup(type => type.Name, type => type.folder);
    }

    [GeneratedRegex(@"^(?:(?:public|internal|sealed|static|abstract|partial|readonly|ref|unsafe) )+"
        + @"(?:record struct|record|class|struct|interface|enum|delegate \S+) (\w+)", RegexOptions.Multiline)]
    private static partial Regex Declaration();
}
