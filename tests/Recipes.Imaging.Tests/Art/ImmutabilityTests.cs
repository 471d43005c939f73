using System.Collections.Immutable;
using System.Reflection;
using System.Runtime.CompilerServices;

namespace Recipes.Imaging.Tests;

public class ImmutabilityTests
{
    private const BindingFlags Everything = BindingFlags.Public | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;

    // What may live on the stack only, as an enumerator over spans, is nobody else's.
    private static readonly Type[] PublicTypes = [.. typeof(Artwork).Assembly.GetExportedTypes().Where(type => !type.IsInterface && !type.IsByRefLike)];

    [Fact]
    public void The_model_is_among_the_types_that_are_looked_at()
    {
        Type[] model =
        [
            typeof(Rgba8), typeof(Box), typeof(TileGrid), typeof(Tile<>), typeof(Plane<>), typeof(Layer), typeof(Artwork), typeof(ArtworkPatch), typeof(LayerPatch),
            typeof(TilePatch<>), typeof(ArtworkDiff), typeof(TileSummary), typeof(InkRules), typeof(InkCount), typeof(GarmentSetup), typeof(Guardrails), typeof(Declaration),
            typeof(GuardResult), typeof(GuardedArt), typeof(Region),
        ];
        model.Except(PublicTypes).ShouldBeEmpty();
    }

    [Fact]
    public void Classes_are_sealed_and_structs_readonly() => Offenders(type => type.IsEnum || (type.IsValueType
        ? type.IsDefined(typeof(IsReadOnlyAttribute), false)
        : type.IsSealed) ? [] : [type.Name]).ShouldBeEmpty();

    [Fact]
    public void Properties_are_set_at_most_while_an_object_is_made() => Offenders(type => type.GetProperties(Everything)
        .Where(property => property.SetMethod is { IsPublic: true } set
            && !set.ReturnParameter.GetRequiredCustomModifiers().Contains(typeof(IsExternalInit)))
        .Select(property => $"{type.Name}.{property.Name}")).ShouldBeEmpty();

    [Fact]
    public void Fields_that_can_be_seen_never_change() => Offenders(type => type.GetFields(Everything)
        .Where(field => !field.IsSpecialName && !field.IsLiteral && (!field.IsInitOnly || IsMutable(field.FieldType)))
        .Select(field => $"{type.Name}.{field.Name}")).ShouldBeEmpty();

    [Fact]
    public void Properties_hand_out_nothing_that_a_caller_could_write_to() => Offenders(type => type.GetProperties(Everything)
        .Where(property => IsMutable(property.PropertyType))
        .Select(property => $"{type.Name}.{property.Name}")).ShouldBeEmpty();

    // The model's own values: what they are made of is readonly too, with the few caches that are filled once.
    [Fact]
    public void Private_fields_are_readonly_but_for_caches()
    {
        string[] caches = ["Tile`1.summary", "Artwork.flat", "Artwork.predecessor"];
        Type[] model = [typeof(Rgba8), typeof(Box), typeof(TileGrid), typeof(Tile<>), typeof(Plane<>), typeof(Layer), typeof(Artwork), typeof(ArtworkPatch), typeof(LayerPatch),
            typeof(ArtworkDiff), typeof(TileSummary), typeof(InkRules), typeof(InkCount), typeof(GarmentSetup), typeof(Guardrails), typeof(Declaration), typeof(GuardResult), typeof(GuardedArt)];
        model.SelectMany(type => type.GetFields(BindingFlags.NonPublic | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly)
                .Where(field => !field.IsInitOnly && !field.IsLiteral)
                // An init-only property's field is written through its setter alone, which the properties' test looks at.
                .Where(field => !field.IsDefined(typeof(CompilerGeneratedAttribute), false))
                .Select(field => $"{type.Name}.{field.Name}"))
            .Except(caches).ShouldBeEmpty();
    }

    private static bool IsMutable(Type type) => type.IsArray
        || (type.IsGenericType && type.GetGenericTypeDefinition() is var open
            && (open == typeof(List<>) || open == typeof(Dictionary<,>) || open == typeof(HashSet<>) || open == typeof(Span<>) || open == typeof(Memory<>)
                || open == typeof(IList<>) || open == typeof(IDictionary<,>) || open == typeof(ICollection<>) || open == typeof(ImmutableArray<>.Builder)));

    private static string[] Offenders(Func<Type, IEnumerable<string>> find) => [.. PublicTypes.SelectMany(find)];
}
