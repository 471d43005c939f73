using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Jail;

namespace Recipes.Cli.Commands;

/// <summary><c>doctor</c>: what this machine enforces on recipes and customers' files, layer by layer.</summary>
internal static class DoctorCommand
{
    public static Command Create() => new Command("doctor", "Shows how well this machine confines recipes and customers' files")
        .With("recipes doctor", _ => Look());

    private static Outcome Look()
    {
        bool confines = JailSupport.CanConfine;
        var fields = new JsonObject
        {
            ["confines"] = confines,
            ["layers"] = new JsonArray([.. JailSupport.Layers.Select(layer => new JsonObject
            {
                ["name"] = layer.Name,
                ["enforced"] = layer.Enforced,
                ["required"] = layer.Required,
                ["stops"] = layer.Stops,
                ["detail"] = layer.Detail,
                ["advice"] = layer.Advice,
            })]),
        };
        return new Outcome(fields, text =>
        {
            foreach (var layer in JailSupport.Layers)
            {
                text.WriteLine($"{(layer.Enforced ? "enforced" : "missing "),-9} {layer.Name,-20} {layer.Detail}");
                text.WriteLine($"{"",-9} {"",-20} stops {layer.Stops}");
                if (layer.Advice.Length > 0)
                {
                    text.WriteLine($"{"",-9} {"",-20} {layer.Advice}");
                }
            }

            text.WriteLine(confines
                ? "Recipes and files from others run confined here."
                : "This machine can't confine recipes: only those that came with the program run.");
        });
    }
}
