"""The trade's words and what each is a sign of; nothing here belongs to any one room.

A line reads `sort value: phrase | phrase`. A phrase of several words is tried before a shorter one.
"""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from bot.language.text.words import tokens_of

_TABLE = """
cue pull: pulls | pulled | pull | pulling | picked | picking | collected | collecting eggs | gathered | stripped | stripping | got off | came off | rolled off | rolled them off | rolled | off the mop | off the glass | plucked | harvested eggs | scraped off
cue laid: laid | layed | layd | laying
cue mop_in: hung | put a mop | mop back | put the mop back | mop back in | mops back in | new mop | fresh mop | clean mop | hung a mop | rehung | mop went in | spare mop | another mop | second mop | extra mop
cue bad: cotton wool | cotton balls | cotton ball | wite | wht | whites | white | whites | fungus | fungused | fungusy | fungussed | fungas | fungasy | fungi | fuzzy | fuzzies | cottony | mouldy | moldy | furry | infertile | duds | dud | gone white | went white | turned white | rotten | funky | fungal | cloudy ones
cue bad_weak: discarded | unfertilised | unfertilized | unviable | not viable | thrown out | chucked out | fluffy | fluffy ones | bad | clear | dead eggs | clears
cue eyed: eys | i's in | i's | eyd | eyed | eyed up | eyeing up | eyes showing | eye spots | eyespots | eyes in | eyes | eyed eggs | with eyes | with eye | eyes visible
cue hatch: pop | pops | hatched | hatching | hatch | popped | popping | hatched out | hatchlings | hatchling | wigglers | swimmers | wriggler | wrigglers | fry swimming | free swimming fry | new fry | hatchd | born | newborn
cue move: movd | went over | came over | shifted over | moved | move | moving | transferred | transfered | shifted | scooped | lifted | netted | relocated | rehomed to | swapped over | bumped up | bumped | went up to | moved up | put them in | put those in | went into | went in | siphoned into | decanted | carry | rehoused | brought over | carried | went home to | gone to live in | went to live in | graduated | promoted | have a new home in | has a new home in | have a new home | has a new home | gone over to | moved house to | gone across to
cue put: popped them in | popped them into | popped em in | put | popped in | set up in | set them up in | placed | placed them in | dropped them in
cue dead: deaths | ded | dead | died | deads | deceased | killed | perished | rip | croaked | belly up | jumped | jumper | jumpers | culled | cull | culling | euthanized | euthanised | put down | carpet jerky | on the floor | passed away | dropped dead | found dead | ate her | stiff | corpse | bodies | body | dried up | goner | casualties | casualty | loss | losses | not breathing | bought the farm | didn't make it | did not make it | kicked the bucket | carked it | snuffed it | on the carpet | on the rug | passed in the night | passed overnight | passed on | didn't make it | did not make it | keeled over | dead and gone | gone over the rainbow bridge | over the rainbow bridge | gone to the great
cue lost: vanished | disappeared | lost | lose | missing | gone | eaten | ate | loose
cue count: sexed | ct | cnt | headcount | head count | hc | counted | recounted | recount | census | count | counting | tally | counts | got to | came to | head counts | headcounts | countd | holds | contains
cue left: stay put | stays put | stayed put | staying put | stayed behind | stay behind | stayed | down to | is down to | left | remaining | remain | still in there | still going | now | still alive | alive | all present | present | all there | in total | altogether
cue wc: wc'd | wcd | w/c'd | wc's | wc | w/c | wcs | water change | water changes | waterchange | waterchanges | water changed | changed water | changed the water | changed its water | changed their water | changing water | swapped the water | swapped water | fresh water | clean water | new water | changed out | change of water | w change | water swap | did the water | did water | water done | pwc | wtr chg | h2o change | morning change | evening change | noon change | a clean fill | nice clean fill | a fresh fill | nice fresh fill
cue wc: fresh rainwater | new rainwater | clean rainwater | rainwater swap | rain swap | rainwater change | ro swap
cue changed: exchanged | swopped | chg | chgd | chged | changed | change | changes | changd | drained | swapped out | refreshed
cue topoff: for evaporation | after evaporation | just evaporation | for the evaporation | made up evaporation | evap loss | to replace evaporation | added some water | added water | filled up | filled it up | filled them up | topd up | topd off | topd | topped off | topped up | top off | top up | topping up | topping off | topup | topoff | topped | tops up | evap made up | top-up | top-off | topoffs | up to the brim | to the brim | top it up | top them up | top it off | top them off | topping it up | topping it off
cue feed: had breakfast | had their breakfast | had lunch | had their lunch | had dinner | had supper | had their supper | had their tea | fd | gave to eat | give to eat | given to eat | fry food | fry feed | fry feeding | fed | feed | feeds | feeding | feedings | ate | eating | offered | target fed | munched | their breakfast | their lunch | their supper | their dinner | their tea
cue gave: spoiled | spoilt | gave | received | shared | shared it round | shared it around | shared out | dished out | treated | got | had | given | gets | get
cue bought: sold me | sold us | sold to me | sold to us | bought | bght | purchased | picked up | arrived | came in | new arrivals | delivery | imported | traded for | won at | brought home | acquired | got in | auction | in the post | brought me | gave me | gave us | caught
cue sold: sold | flogged | sell | sale | sales | gave away | given away | rehomed | went home with | went to a | sld | bought off me | bought off us | came for | came by for | came round for | came over for | came in for | stopped by for | popped round for | popped in for | called round for | went off with | came for her | came for his | came for their | came by for her | came by for his | came by for their | he left with | she left with | they left with | he went off with | she went off with | they went off with
cue paid: paid | pd | pays | came away with
cue hold: resv | resvd | rsv | rsvd | rsrv | hold | reserve | reserved | reserving | promised | promise | set aside | put aside | keep by | keeping by | spoken for | put by | earmark | earmarked | save for | earmarked for | hold back | dibs | on hold | put on hold | put his name on | put her name on | put a name on | resrve | booked | keep them by | hang on to
cue release: bailed | bailed on | flaked | flaked on | backed off | ducked out | ducked out of | dropped out | not interested anymore | dont want | don't want | doesnt want | no longer want | changed their minds | release | released | cancel | cancelling | cancelled | canceled | cancels | backed out | backing out | changed his mind | changed her mind | changed their mind | fell through | free again | no longer wants | doesn't want | does not want | pulled out | free to sell | up for grabs again | off the hook | isn't coming | is not coming | not coming | won't be coming | isn't taking | not taking | up for sale again | back on sale | back up for sale | for sale again | back on the list | not coming for | let us down | let me down | can't come for | cannot come for | can't take her | can't take his | can't have her | can't have his | won't be needing | won't be wanting | can't manage her | can't manage his
cue start: restart | re-started | started over | starting over | start over | started | start | starting | set up | set off | put on | new | seeded | split | made | began | restarted | set going | kicked off | sub cultured | subcultured
cue harvest: harvested | harvest | harvesting | netted | skimmed | strained | collected
cue crash: tossed it | smells like nail polish | crashed | crash | crashing | stinking | smells awful | smells off | gone bad | gone off | went off | stinks | smells like feet | died off | died out | went sour | soured | threw out | threw it out | binned | dead culture | turned to soup | threw away | threw it away | chucked it | chucked out | dumped it | tossed
cue clean: swapped out | changed out | unplugged | plugged back in | plugged it back in | came unplugged | swapd | swopped | sq | sqz | sqzd | sqd | cleaned | cleand | squeezed | squeezed out | rinsed | wiped | wiped down | scrubbed | swapped | replaced | serviced | fixed | scraped | cleaned out | washed | wrung out | wrung | unclogged | unblocked | cleared | descaled | bleached | repaired | new | fresh | swished | swished out | hosed | cleaning | changed | mended | sorted | algae scraped | fitted | installed | renewed | clean | squeeze | rinse | wipe | stopped | broke | broken | packed up | packd up | swaped | failed | died | a good scrub | a scrub | a good clean | a good wipe | a wipe | a good rinse | a rinse | a good squeeze | a squeeze | a going over | a good going over | a good wash | a good scrape | a once over
cue bag: went into a bag | went in a bag | gone into a bag | gone in a bag | put it in a bag | into its bag | bagd | stored it | stored | bagged | bag it | bagged up | put up damp | bagging | bagged it
cue wet: wet | wetted | wetting | soaked | flooded
cue collect: collected | squeezed | took out | taken out | got the peat out | lifted | draining | drying | pulled
cue newplace: new tub | new tank | set up | setup | setting up | up and running | new jar | new container | added a tub | added a tank | started up | got going | commissioned
cue close: coming down for good | closed | closing down | retiring | retired | retire | shut down | torn down | tore down | taking down | took down | taken down | broke down | broken down | out of use | out of service | out of action | decommissioned | out of commission | closed down | closing | put away | scrapped | not using
cue rule: new rule | from now on | from today | from tomorrow | as of today | going forward | new routine | new schedule | always | every day | every other day | starting today | standing | set to | turned up to | turned down to | turned to | set the heater | set heater | from here on | permanently
cue remind: want a nudge | a nudge | rem | remember me | wake me | buzz me | prompt me | alert me | text me | message me | holler at me | remind | remind me | rmd | rmnd | bug me | nudge me | ping me | don't let me forget | dont let me forget | don't forget | dont forget | note for | set a reminder | set reminder | reminder | alarm for | give me a shout | poke me | remember to | tell me to | nag me | jog my memory | shout at me | wake me | alert me | prompt me | beep me | buzz me
cue snooze: skip | put off | putting off | postpone | postponed | leave | leaving | snooze | push | pushed | delay | later | hold off | not today | ran out of time | leave it | wait on | can wait | defer | move to tomorrow | bump
cue done: tick off | tick it off | tick it of | tick that off | ticked off | tick them off | cross off | crossed off | cross it off | cross that off | done | finished | sorted | complete | completed | all done | ✓ | did | dun
cue undo: nevermind that last | nevermind the last | nevermind that | forget what i just told you | forget what i told you | take that out | take that off again | take that one out | take it out again | forget what i just said | forget what i said | take back what i said | lose that last | bin that last | never mind that last | nevermind that last | never mind that | take it back out | forget my last | ignore my last | disregard my last | delete my last | undo my last | scrap that | scrap that last | cancel last | cancel last one | undo last one | remove the last one | delete that one | undo | scratch that | scratch the last | scratch that last one | scratch that last | scratch the last one | take that back | take it back | delete that | delete that last | delete the last | delete last | remove that | remove that last | remove the last | remove last | cancel that | cancel the last | strike that | strike the last | forget that last | ignore that last | ignore the last | forget that | ignore that | wipe that | disregard that | disregard the last | undo that | undo last | oops undo | back that out | take back that last | take back the last | didn't happen delete | that last one was a mistake | pretend i didn't say that | revert
cue fix: correction | typo | meant | mean | should be | should have been | should've been | shoulda been | misread | miscounted | wrong | make that | actually it was | i meant | sb | was supposed to be | not what i said | change that to | change it to
cue mop_in: new mops | fresh mops | clean mops | put mops back | put back the mop | put back the mops | put the mops back | mop returned | mops returned | dropped a mop | hung the mop | hung mops | mop went back | mops went back | replaced the mop | replaced the old mop | swapped the mop | swapped the old mop | changed the mop | mop swapped
cue bad: milky | gone milky | went milky | turned milky | went fuzzy | gone fuzzy
cue hatch: emerged | broke out | came out of the egg | came out of their eggs | broke free | htchd | hachd | burst out
cue move: sep | mv | mvd | thinned out | divided | separated | split off | whisked | whisked off | combined | merged | added to | were added to
cue dead: doa | d.o.a | faded away | gave up the ghost | has passed
cue lost: said goodbye to
cue gave: coughed up | yielded | produced | handed over | came up with | came through with | delivered | served up | surrendered | spat out
cue count: sexed | roll call | rollcall | conted
cue bought: new fish day | new fish | came in the mail | came in the post | arrived in the mail | arrived in the post | brought my | brought the | brought us | dropped off | brought | traded
cue sold: went off with | left with
cue hold: put her name down | put his name down | put their name down
cue release: free up | frees up | cxl | cxld | canx | no longer want | call off | called off | calls off | available again | are available | up for sale
noun offer: for sale
noun purpose: to spawn | to breed | for spawning | to lay | for breeding
guard not: lost count | lost track | losing count | too many to count | too many to see | couldn't count | could not count
cue dead: gave up the fight | pegged it | gone to the great tank
noun eggs: jewels | pearls | gems | not an egg | not a single egg | not one egg | not one single egg | not 1 egg | not 1 single egg | eggs | egg | eggz | egs | spawn | clutch | ova | eggies | legs
noun fry: fry food | fry feed | fry feeding | fry | babies | baby | bbys | baby fish | wigglers | fried | hatchlings | newborns | kids | fly | frys | little ones | littles | tiddlers | tots | nippers | bairns | tinies | wee ones | sprogs
noun juveniles: juveniles | juvenile | juvs | juvies | juvie | juv | youngsters | young | teens | runts | runt | growouts | teenagers | subadults
noun adults: adults | adult | breeders | grown ups | old ones | parents
noun male: male | males | lad | fella | boy | boys | m
noun female: female | females | girl | girls | f | fem | fems | hen | hens
noun pair: pair | pairs | pr | prs
noun trio: trio | trios
noun mop: mop | mops | mopp | yarn | mopps
noun fish: pcs | pc | pieces | hd | head | fish | fishes | ones | them | heads | of them | swimmers | specimen | specimens | species | individuals
noun water: water | watre | h2o | watr | wtr
noun peat: peet | peat | pete | peet | peat moss | peat bag | peat box | peat jar | bag of peat
noun bag: bag
noun culture: culture | cultures
noun filters: filters
noun swap: swap | swaps | exchange
item sponge filter: sponge filter | sponge | sponges | sponge filters | spunge
item box filter: box filter | box filters | corner filter
item floss: floss | filter floss
item filter: filter | filters | filtr | canister | hob | hang on back
item heater: heater | heaters
item light: lites | lite | light | lights | lamp | bulb | led
item glass: glass | front glass | algae
item air: air | air line | airline | air pump | airstone | air stone | airpump | air tube | bubbler
item bottom: bottom
item gravel: gravel
item pump: pump
item prefilter: prefilter | pre-filter
item intake: intake
item hood: hood
item timer: timer
item thermometer: new thermometer
item lid: lid | lids | cover glass
food microworms: microworms | microworm | micro worms | micro worm | micros | mw | worms | mws | microwrms
food brine shrimp: hatchery | the hatchery | bbs hatchery | brine hatchery | bbs cone | shrimp | baby shrimp | brine shrimp | baby brine shrimp | baby brine | bbs | brine | bs | live brine | newly hatched brine | nauplii | artemia | brine shrimps | bbs | baby bs
food frozen brine shrimp: frozen bbs | frozen baby brine | frozen baby brine shrimp | frozen brine shrimp | frozen brine | fbs | frozen artemia | frozen bs
food bloodworms: bw | bws | frozen bw | bloodworms | bloodworm | frozen bloodworm | frozen bloodworms | blood worms | blood worm | bloods | frozen blood worms
food blackworms: blackworms | blackworm | black worms
food daphnia: daphnia | frozen daphnia | live daphnia | moina | daph
food vinegar eels: vinegar eels | vinegar eel | vin eels | vin eel | eels | ve | ves | vinegar heels
food infusoria: infusoria | infusora | paramecium
food green water: green water | greenwater
food powder: powder | powdered food | fry powder | powder food | dry powder | dust | powdered stuff | powdered
food flake: flake | flakes | flake food | crushed flake | flakefood
food pellets: pellets | pellet | micropellets
food sinking tablets: sinking tablets | sinking tablet | sinking tabs
food tablets: tablets | tabs
food tablet: tablet
food sinking wafers: sinking wafers
food wafers: wafers
food wafer: wafer
food algae wafers: algae wafers
food earthworm: earthworm | earthworms
food chopped earthworm: chopped earthworm | chopped earthworms
food grindal worms: grindal worms | grindals | grindal worm | grindal
food white worms: white worms | white worm | whiteworms | whiteworm
food mosquito larvae: mosquito larvae | mozzie larvae | larvae | mosquito larva
food cyclops: cyclops
food krill: krill
food peas: peas | skinned peas | shelled peas
food zucchini: zucchini | blanched zucchini | courgette
food cucumber: cucumber
food spinach: spinach | blanched spinach
food spirulina: spirulina
food egg yolk: egg yolk | yolk
food tubifex: tubifex
food mysis: mysis | mysis shrimp
food gel food: gel food
food fruit flies: fruit flies | wingless fruit flies | drosophila
food walter worms: walter worms | walter worm
food banana worms: banana worms | banana worm
substance peroxide: peroxided | peroxide | hydrogen peroxide | h2o2 | perox | 3% peroxide | peroxyde
substance methylene blue: blue stuff | the blue stuff | blue drops | methylene blue | meth blue | methylene | mb | meth
substance salt: salted | salt | aquarium salt | kosher salt
substance dechlorinator: dechlorinator | dechlor | conditioner | water conditioner | dechlorinater | declor
substance tannin: tannin | tannins | leaf | almond leaf | almond leaves | catappa | leaves | catappa leaf | alder cone | alder cones | oak leaf | oak leaves | blackwater extract | black water extract | indian almond leaf
substance malachite green: malachite green | malachite
substance formalin: formalin
substance acriflavine: acriflavine
substance epsom salt: epsom salt | epsom
substance levamisole: levamisole
substance baking soda: baking soda
substance crushed coral: crushed coral
substance copper: copper | copper sulfate | copper sulphate
substance praziquantel: praziquantel | prazi
substance metronidazole: metronidazole | metro
substance kanamycin: kanamycin
substance erythromycin: erythromycin
substance nitrofurazone: nitrofurazone
substance flubendazole: flubendazole
substance fenbendazole: fenbendazole
substance potassium permanganate: potassium permanganate | permanganate
substance iodine: iodine
substance medication: meds | medication | medicine
unit drop: dr | drop | drops | dropz | drps | drp
unit ml: ml | mls | millilitres | milliliters | millilitre | milliliter | cc | mil | mils
unit tsp: tsp | teaspoon | teaspoons | tsps | t spoon
unit tbsp: tbsp | tablespoon | tablespoons | tbsps | tbs
unit g: g | gram | grams | gr | grammes
unit leaf: leaf | leaves
unit pinch: pinch | pinches
unit capful: cap full | capfull | capful | capfuls
unit scoop: scoop | scoops
volume gal: gallons | gallon | gal | gals | g
volume qt: qt | qts | quart | quarts
volume pt: pint | pints | pt | pts
volume cup: cup | cups
volume l: l | litres | litre | liters | liter | ltr | ltrs
volume bucket: bucket | buckets
length cm: cm | centimetres | centimeters | centimetre | centimeter
length mm: mm | millimetres | millimeters
length in: inch | inches
degree f: °f | ° f | fahrenheit | degrees f | deg f | degrees fahrenheit
degree c: °c | ° c | celsius | degrees c | deg c | degrees celsius | centigrade
degree d: ° | degrees | degree | deg | degs
quantity temperature: temperature | temp | temps | temperatures | tmp | thermometer | tmep | reading of
quantity ph: ph | p h | pee age | pee h
quantity ammonia: ammonia | amm | nh3 | nh4 | ammo | amonia | am
quantity nitrite: nitrite | nitrites | no2 | night right | n o two
quantity nitrate: nitrate | nitrates | no3 | night rate | night rates | night trait | night traits | nitrate concentration
quantity gh: gh | general hardness | hardness
quantity kh: kh | carbonate hardness | carbonate | alkalinity
quantity tds: tds | t d s
quantity conductivity: conductivity | ec | microsiemens | µs
quantity length: length | long | measured | measures | total length
group all: everyone | everybody | everything | all tanks and tubs | whole room | the lot | all round | all around | everywhere | every tank and tub
group all: all the fish | all fish | all my fish | everyone but | everyone else but | everybody else but | everybody but | everything but | all but | all tanks | all the tanks | every tank | all of the tanks
group all tubs: each tub | all tubs | all the tubs | every tub
group all egg tubs: in each egg tub | in every egg tub | into each egg tub | each egg tub | each of the egg tubs | egg tubs | all egg tubs | all the egg tubs | every egg tub | the egg tubs | egg containers | egg boxes
group all egg tubs: eggs tubs | the eggs tubs | all eggs tubs | egg water | the egg water | the eggs water
group all fry tubs: in each fry tub | in every fry tub | into each fry tub | each fry tub | each of the fry tubs | fry tubs | all fry tubs | all the fry tubs | the fry tubs | every fry tub | fry water | the fry water
group all fry: the tiddlers | all the tiddlers | the tinies | the wee ones | all fry | all the fry | every baby | all the babies | all babies | every fry | babies all | the fry | fry all | all of the fry | the babies
group all adults: the big ones | the big fish | all the big fish | the big guys | the grown fish | each breeding tank | each breeder tank | all adults | all the adults | the adults | adults | every adult | all breeders | all the breeders | the breeders | all the breeding tanks | breeding tanks | breeder tanks | all the grown ups | all the grownups | the grown ups | grown ups | all the big fish | all the big ones | all the grown-ups | the grown-ups | grown-ups
role quarantine: quarantine | qt | quarantine tank | qt tank | hospital tank | hospital | quarantined
role grow-out: growout | grow-out | grow-outs | grow out | grow outs | growouts | growing on
role nursery: nursery | nurseries
role breeders: breeding tank | breeder tank | breeding tanks
role fry: fry tub | fry tank | fry
each each: each 1 | in each 1 | every 1 | in every 1 | each one | in each one | each of them | ea | each | apiece | per tank | a piece | both | all three | in each | every one
except except: exc | excl | xcept | everyone but | everyone else but | everybody else but | everybody but | everything but | all but | except | but not | except for | bar the | apart from | bar | other than | excluding | minus | not including | save for | all but | bar | excepting | besides
guard not: nobody's | no one's | a break from | a rest from | fasted | fasting | nothing's | nothings | not | no | nobody | no one | noone | none of | didn't | didnt | haven't | havent | hasn't | hasnt | hadn't | hadnt | never | don't | dont | doesn't | doesnt | isn't | isnt | aren't | arent | wasn't | wasnt | weren't | cannot | can't | cant | couldn't | couldnt | won't | wont | without | nor | neither | ain't | not yet | no sign of
guard plan: planned for | planned | plan for | plans for | on my list | should've | could've | would've | might've | shoulda | coulda | woulda | i meant to | i intended to | want it | want them | want him | want her | to sell | to buy | to order | to move | will | intended to | intended | meant to | wanted to | planned to | hoped to | tried to | aim to | might | may | gonna | going to | i'll | ill | we'll | he'll | she'll | they'll | it'll | plan | planning | want to | wanna | need to | needs | need | needs to | should | shoud | would | i'd | could | thinking of | thinking about | about to | hoping | hope | hopefully | intend | let's | lets | ought | must | have to | has to | gotta | supposed to | shall | due to be | plan to | meaning to | ready to | may have to | wanting to | tempted to | debating | considering | expecting | expect | can | to be | wants to
guard wish: could have sworn | sworn | thinks | reckons | believes | guesses | wish | if only | i wish | thought | would be nice | dream | dreamed | dreamt | imagine | pretend | almost | nearly | supposed | wondering | wonder | offered | haggled | owed | owes
guard if: if | unless | whether | in case | once | until | when
guard forgot: run out of | running out of | running low on | frgot | forgot | forgot to | didn't get to | gave up | ran out of | never got | no time | couldn't | skipped
hearsay says: label says | sticker says | says | said | told | telling | reckons | posted | texted | emailed | heard | forum | club | friend | neighbor | neighbour | cousin | guy | video | article | book | read that
"""

Entry = tuple[str, str]  # sort and value
LEXICON: dict[tuple[str, ...], list[Entry]] = {}
GLUED: set[tuple[str, ...]] = set()  # phrases like no2, written without spaces
_LONGEST: dict[str, int] = {}  # first word → most words of a phrase that begins with it
for _line in _TABLE.strip().splitlines():
    _head, _, _phrases = _line.partition(": ")
    _sort, _, _value = _head.partition(" ")
    for _phrase in _phrases.split(" | "):
        _cut = tokens_of(_phrase)
        _words = tuple(token.word for token in _cut)
        if len(_cut) > 1 and all(token.glued for token in _cut[1:]):
            GLUED.add(_words)
        LEXICON.setdefault(_words, [])
        if (_sort, _value) not in LEXICON[_words]:
            LEXICON[_words].append((_sort, _value))
        _LONGEST[_words[0]] = max(_LONGEST.get(_words[0], 0), len(_words))

for _phrase2, _entries in list(LEXICON.items()):  # "vinegareels", and what sounds like it
    _joined = "".join(_phrase2)
    if (
        len(_phrase2) == 2
        and len(_joined) >= 8
        and _joined.isalpha()
        and "lea" not in _joined
        and all(s in ("food", "substance") for s, _ in _entries)
    ):
        LEXICON.setdefault((_joined,), _entries)
        _LONGEST.setdefault(_joined, 1)

DOMAIN = frozenset(word for phrase in LEXICON for word in phrase if word[0].isalpha())


def phrase_at(words: list[str], glued: list[bool], at: int) -> tuple[int, list[Entry]]:
    """The longest phrase of the table that begins at a word: how many words, and what it is a sign of."""
    longest = _LONGEST.get(words[at], 0) if 0 <= at < len(words) else 0
    for size in range(min(longest, len(words) - at), 0, -1):
        phrase = tuple(words[at : at + size])
        entries = LEXICON.get(phrase)
        if entries and (phrase not in GLUED or all(glued[at + 1 : at + size])):
            return size, entries
    return 0, []
