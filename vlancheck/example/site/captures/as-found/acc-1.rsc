[admin@ACC-1] > /system clock print
             time: 08:41:12
             date: 2026-03-14
   time-zone-name: UTC
[admin@ACC-1] > /export
# 2026-03-14 08:41:20 by RouterOS 7.14.2
# software id = HL00-0001
#
# model = CRS326-24G-2S+
/interface bridge
add frame-types=admit-all name=bridge1 protocol-mode=rstp vlan-filtering=yes
/interface ethernet
set [ find default-name=ether1 ] comment=PANEL-B:01
set [ find default-name=ether2 ] comment=PANEL-B:02
set [ find default-name=ether3 ] comment=PANEL-B:03
set [ find default-name=ether4 ] comment=PANEL-B:04
set [ find default-name=ether5 ] comment=PANEL-B:05
set [ find default-name=ether6 ] comment=PANEL-B:06
set [ find default-name=ether7 ] comment=PANEL-B:07
set [ find default-name=ether8 ] comment=PANEL-B:08
set [ find default-name=ether9 ] comment=PANEL-B:09
set [ find default-name=ether10 ] comment=PANEL-B:10
set [ find default-name=ether11 ] disabled=yes
set [ find default-name=ether12 ] disabled=yes
set [ find default-name=sfp-sfpplus1 ] comment="to CORE-1 Gi1/0/2"
set [ find default-name=sfp-sfpplus2 ] comment="to ACC-2 Gi0/2"
/interface bridge port
add bridge=bridge1 interface=ether1 pvid=10
add bridge=bridge1 interface=ether2 pvid=10
add bridge=bridge1 interface=ether3 pvid=10
add bridge=bridge1 interface=ether4 pvid=10
add bridge=bridge1 interface=ether5 pvid=10
add bridge=bridge1 interface=ether6 pvid=10
add bridge=bridge1 interface=ether7 pvid=10
add bridge=bridge1 interface=ether8 pvid=10
add bridge=bridge1 frame-types=admit-only-untagged-and-priority-tagged interface=ether9 pvid=40
add bridge=bridge1 frame-types=admit-only-untagged-and-priority-tagged interface=ether10 pvid=40
add bridge=bridge1 frame-types=admit-only-vlan-tagged interface=sfp-sfpplus1
add bridge=bridge1 frame-types=admit-only-vlan-tagged interface=sfp-sfpplus2
/interface bridge vlan
add bridge=bridge1 tagged=sfp-sfpplus1,sfp-sfpplus2 untagged=ether1,ether2,ether3,ether4,ether5,ether6,ether7,ether8 vlan-ids=10
add bridge=bridge1 tagged=sfp-sfpplus1,sfp-sfpplus2,ether1,ether2,ether3,ether4,ether5,ether6 vlan-ids=20
add bridge=bridge1 tagged=sfp-sfpplus1,sfp-sfpplus2 untagged=ether9,ether10 vlan-ids=40
add bridge=bridge1 tagged=sfp-sfpplus1,sfp-sfpplus2 vlan-ids=50
/system identity
set name=ACC-1
[admin@ACC-1] > /interface bridge host print
Flags: D - DYNAMIC; L - LOCAL
Columns: MAC-ADDRESS, VID, ON-INTERFACE, BRIDGE
 #    MAC-ADDRESS        VID  ON-INTERFACE  BRIDGE 
 0 D  02:00:00:00:07:02   10  sfp-sfpplus1  bridge1
 1 D  02:00:5E:00:08:01   10  sfp-sfpplus1  bridge1
 2 D  02:00:5E:00:21:01   10  sfp-sfpplus1  bridge1
 3 D  02:00:5E:00:21:02   10  sfp-sfpplus1  bridge1
 4 D  02:00:5E:00:21:03   10  sfp-sfpplus1  bridge1
 5 D  02:00:5E:00:21:04   10  sfp-sfpplus1  bridge1
 6 D  02:00:5E:00:21:05   10  sfp-sfpplus1  bridge1
 7 D  02:00:5E:00:21:06   10  sfp-sfpplus1  bridge1
 8 D  02:00:5E:00:21:07   10  sfp-sfpplus1  bridge1
 9 D  02:00:5E:00:21:08   10  sfp-sfpplus1  bridge1
10 D  02:00:5E:00:22:01   10  ether1        bridge1
11 D  02:00:5E:00:22:02   10  ether2        bridge1
12 D  02:00:5E:00:22:03   10  ether3        bridge1
13 D  02:00:5E:00:22:04   10  ether4        bridge1
14 D  02:00:5E:00:22:05   10  ether5        bridge1
15 D  02:00:5E:00:22:06   10  ether6        bridge1
16 D  02:00:5E:00:22:07   10  ether7        bridge1
17 D  02:00:5E:00:22:08   10  ether8        bridge1
18 D  02:00:5E:00:22:0D   10  sfp-sfpplus1  bridge1
19 D  02:00:5E:00:22:0E   10  sfp-sfpplus1  bridge1
20 D  02:00:5E:00:22:0F   10  sfp-sfpplus1  bridge1
21 D  02:00:5E:00:22:10   10  sfp-sfpplus1  bridge1
22 D  02:00:5E:00:22:11   10  sfp-sfpplus1  bridge1
23 D  02:00:5E:00:22:12   10  sfp-sfpplus1  bridge1
24 D  02:00:5E:00:30:01   10  sfp-sfpplus1  bridge1
25 D  02:00:5E:00:30:02   10  sfp-sfpplus1  bridge1
26 D  02:00:5E:00:08:01   20  sfp-sfpplus1  bridge1
27 D  02:00:5E:00:09:02   20  sfp-sfpplus1  bridge1
28 D  02:00:5E:00:11:01   20  sfp-sfpplus1  bridge1
29 D  02:00:5E:00:11:02   20  sfp-sfpplus1  bridge1
30 D  02:00:5E:00:11:03   20  sfp-sfpplus1  bridge1
31 D  02:00:5E:00:11:04   20  sfp-sfpplus1  bridge1
32 D  02:00:5E:00:12:01   20  ether1        bridge1
33 D  02:00:5E:00:12:02   20  ether2        bridge1
34 D  02:00:5E:00:12:03   20  ether3        bridge1
35 D  02:00:5E:00:12:04   20  ether4        bridge1
36 D  02:00:5E:00:12:0D   20  sfp-sfpplus1  bridge1
37 D  02:00:5E:00:12:0E   20  sfp-sfpplus1  bridge1
38 D  02:00:5E:00:41:0B   40  sfp-sfpplus1  bridge1
39 D  02:00:5E:00:41:0C   40  sfp-sfpplus1  bridge1
40 D  02:00:5E:00:42:09   40  ether9        bridge1
41 D  02:00:5E:00:42:0A   40  ether10       bridge1
42 D  02:00:5E:00:42:13   40  sfp-sfpplus1  bridge1
43 D  02:00:5E:00:08:01   50  sfp-sfpplus1  bridge1
44 D  02:00:5E:00:52:0B   50  sfp-sfpplus1  bridge1
45 D  02:00:5E:00:52:0C   50  sfp-sfpplus1  bridge1
46 DL 02:00:5E:00:01:00       bridge1       bridge1
[admin@ACC-1] >
